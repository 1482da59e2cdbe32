export type { ListingLine, Program, ProgramFormat, ReadOptions } from './program.ts'
