-- CreateTable
CREATE TABLE "FormerMember" (
    "courseId" TEXT NOT NULL,
    "userId" TEXT NOT NULL,
    "role" "CourseRole" NOT NULL,
    "leftAt" TIMESTAMPTZ(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,
    "removedById" TEXT,

    CONSTRAINT "FormerMember_pkey" PRIMARY KEY ("courseId","userId")
);

-- CreateIndex
CREATE INDEX "FormerMember_userId_idx" ON "FormerMember"("userId");

-- AddForeignKey
ALTER TABLE "FormerMember" ADD CONSTRAINT "FormerMember_courseId_fkey" FOREIGN KEY ("courseId") REFERENCES "Course"("id") ON DELETE CASCADE ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "FormerMember" ADD CONSTRAINT "FormerMember_userId_fkey" FOREIGN KEY ("userId") REFERENCES "User"("id") ON DELETE CASCADE ON UPDATE CASCADE;
