export { sheet, sheetKinds, type SheetKind, type SheetOptions } from './sheet.ts'
export type { Paper } from './html-page.ts'
export { compareDump, type ReadBack, type Slip } from './read-back.ts'
