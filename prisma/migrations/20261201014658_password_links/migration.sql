-- CreateTable
CREATE TABLE "PasswordLink" (
    "tokenHash" TEXT NOT NULL,
    "userId" TEXT NOT NULL,
    "createdAt" TIMESTAMPTZ(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,
    "expiresAt" TIMESTAMPTZ(3) NOT NULL,

    CONSTRAINT "PasswordLink_pkey" PRIMARY KEY ("tokenHash")
);

-- CreateIndex
CREATE INDEX "PasswordLink_userId_idx" ON "PasswordLink"("userId");

-- CreateIndex
CREATE INDEX "PasswordLink_expiresAt_idx" ON "PasswordLink"("expiresAt");

-- AddForeignKey
ALTER TABLE "PasswordLink" ADD CONSTRAINT "PasswordLink_userId_fkey" FOREIGN KEY ("userId") REFERENCES "User"("id") ON DELETE CASCADE ON UPDATE CASCADE;
