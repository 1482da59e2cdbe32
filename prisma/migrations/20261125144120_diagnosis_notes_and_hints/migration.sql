-- CreateEnum
CREATE TYPE "DiagnosisState" AS ENUM ('none', 'looking', 'ready', 'failed');

-- AlterTable
ALTER TABLE "Course" ADD COLUMN     "feedback" JSON NOT NULL DEFAULT '{}';

-- AlterTable
ALTER TABLE "Exercise" ADD COLUMN     "feedback" JSON NOT NULL DEFAULT '{}';

-- AlterTable
ALTER TABLE "Note" ADD COLUMN     "isReleased" BOOLEAN NOT NULL DEFAULT false,
ADD COLUMN     "replyToId" TEXT,
ADD COLUMN     "savedAnswerId" TEXT,
ADD COLUMN     "toStep" INTEGER,
ADD COLUMN     "view" TEXT;

-- AlterTable
ALTER TABLE "Submission" ADD COLUMN     "diagnosis" JSON,
ADD COLUMN     "diagnosisState" "DiagnosisState" NOT NULL DEFAULT 'none';

-- CreateTable
CREATE TABLE "SavedAnswer" (
    "id" TEXT NOT NULL,
    "courseId" TEXT NOT NULL,
    "text" TEXT NOT NULL,
    "causeId" TEXT,
    "uses" INTEGER NOT NULL DEFAULT 0,
    "lastUsedAt" TIMESTAMPTZ(3),
    "createdById" TEXT NOT NULL,
    "createdAt" TIMESTAMPTZ(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,

    CONSTRAINT "SavedAnswer_pkey" PRIMARY KEY ("id")
);

-- CreateTable
CREATE TABLE "HintTaken" (
    "exerciseId" TEXT NOT NULL,
    "userId" TEXT NOT NULL,
    "number" INTEGER NOT NULL,
    "answer" TEXT NOT NULL,
    "takenAt" TIMESTAMPTZ(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,

    CONSTRAINT "HintTaken_pkey" PRIMARY KEY ("exerciseId","userId","number")
);

-- CreateIndex
CREATE INDEX "SavedAnswer_courseId_idx" ON "SavedAnswer"("courseId");

-- AddForeignKey
ALTER TABLE "Note" ADD CONSTRAINT "Note_replyToId_fkey" FOREIGN KEY ("replyToId") REFERENCES "Note"("id") ON DELETE CASCADE ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "Note" ADD CONSTRAINT "Note_savedAnswerId_fkey" FOREIGN KEY ("savedAnswerId") REFERENCES "SavedAnswer"("id") ON DELETE SET NULL ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "SavedAnswer" ADD CONSTRAINT "SavedAnswer_courseId_fkey" FOREIGN KEY ("courseId") REFERENCES "Course"("id") ON DELETE CASCADE ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "SavedAnswer" ADD CONSTRAINT "SavedAnswer_createdById_fkey" FOREIGN KEY ("createdById") REFERENCES "User"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "HintTaken" ADD CONSTRAINT "HintTaken_exerciseId_fkey" FOREIGN KEY ("exerciseId") REFERENCES "Exercise"("id") ON DELETE CASCADE ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "HintTaken" ADD CONSTRAINT "HintTaken_userId_fkey" FOREIGN KEY ("userId") REFERENCES "User"("id") ON DELETE CASCADE ON UPDATE CASCADE;

-- Notes written before there was a release were seen by the student at once, and stay so.
UPDATE "Note" SET "isReleased" = true;
