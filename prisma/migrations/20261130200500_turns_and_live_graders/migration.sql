-- CreateTable
CREATE TABLE "GradeTurn" (
    "key" TEXT NOT NULL,
    "at" TIMESTAMPTZ(6) NOT NULL DEFAULT CURRENT_TIMESTAMP,

    CONSTRAINT "GradeTurn_pkey" PRIMARY KEY ("key")
);

-- CreateTable
CREATE TABLE "LiveGrader" (
    "id" TEXT NOT NULL,
    "threads" INTEGER NOT NULL,
    "seenAt" TIMESTAMPTZ(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,

    CONSTRAINT "LiveGrader_pkey" PRIMARY KEY ("id")
);

-- CreateIndex
CREATE INDEX "LiveGrader_seenAt_idx" ON "LiveGrader"("seenAt");
