-- CreateTable
CREATE TABLE "KnownDevice" (
    "userId" TEXT NOT NULL,
    "hash" TEXT NOT NULL,
    "seenAt" TIMESTAMPTZ(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,

    CONSTRAINT "KnownDevice_pkey" PRIMARY KEY ("userId","hash")
);

-- CreateTable
CREATE TABLE "ThrottleCount" (
    "key" VARCHAR(255) NOT NULL,
    "points" INTEGER NOT NULL DEFAULT 0,
    "expire" BIGINT,

    CONSTRAINT "ThrottleCount_pkey" PRIMARY KEY ("key")
);

-- CreateIndex
CREATE INDEX "KnownDevice_seenAt_idx" ON "KnownDevice"("seenAt");

-- CreateIndex
CREATE INDEX "ThrottleCount_expire_idx" ON "ThrottleCount"("expire");

-- AddForeignKey
ALTER TABLE "KnownDevice" ADD CONSTRAINT "KnownDevice_userId_fkey" FOREIGN KEY ("userId") REFERENCES "User"("id") ON DELETE CASCADE ON UPDATE CASCADE;
