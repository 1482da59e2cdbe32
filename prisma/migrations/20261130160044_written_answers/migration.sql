-- CreateTable
CREATE TABLE "WrittenAnswer" (
    "submissionId" TEXT NOT NULL,
    "questionId" TEXT NOT NULL,
    "text" TEXT NOT NULL,
    "marks" DOUBLE PRECISION,
    "points" INTEGER[],
    "remark" TEXT,
    "markedById" TEXT,
    "markedAt" TIMESTAMPTZ(3),

    CONSTRAINT "WrittenAnswer_pkey" PRIMARY KEY ("submissionId","questionId")
);

-- AddForeignKey
ALTER TABLE "WrittenAnswer" ADD CONSTRAINT "WrittenAnswer_submissionId_fkey" FOREIGN KEY ("submissionId") REFERENCES "Submission"("id") ON DELETE CASCADE ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "WrittenAnswer" ADD CONSTRAINT "WrittenAnswer_markedById_fkey" FOREIGN KEY ("markedById") REFERENCES "User"("id") ON DELETE SET NULL ON UPDATE CASCADE;
