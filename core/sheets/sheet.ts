import type { Program } from '../assembler/index.ts'
import { delayPage } from './delay.ts'
import { displacementPage } from './displacement.ts'
import { handAssemblyPage } from './hand-assembly.ts'
import { htmlPage, type Paper } from './html-page.ts'
import { keyingPage, keyingText } from './keying.ts'
import type { Page } from './page.ts'
import { textPage } from './text-page.ts'

/** What can be drawn up from a program. */
export const sheetKinds = ['keying', 'hand-assembly', 'displacement', 'delay'] as const
export type SheetKind = (typeof sheetKinds)[number]

export interface SheetOptions {
  readonly format: 'text' | 'html'
  /** Paper that the HTML page prints on; A4 when left out. */
  readonly paper?: Paper
  /** What the sheet is of, such as the name of an exercise. */
  readonly title?: string
  /** The filled-in sheet in place of the one to fill in. A keying sheet has nothing to fill in. */
  readonly hasAnswers?: boolean
  /** The board's clock, for the delay drill; 2.5 MHz when left out. */
  readonly clockHz?: number
}

const names: Readonly<Record<SheetKind, string>> = {
  keying: 'Keying sheet',
  'hand-assembly': 'Hand-assembly sheet',
  displacement: 'Displacement drill',
  delay: 'Delay drill',
}

/** A sheet for a program, as text or as a whole HTML page. The same program always gives the same sheet. */
export function sheet(program: Program, kind: SheetKind, options: SheetOptions): string {
  const hasAnswers = options.hasAnswers === true && kind !== 'keying'
  const name = hasAnswers ? `${names[kind]}, answers` : names[kind]
  // On one line, so that it stays a comment in the text of a keying sheet.
  const title = options.title === undefined ? name : `${name}: ${options.title.replace(/\s+/g, ' ')}`
  if (options.format === 'text' && kind === 'keying') return keyingText(program, title)
  const page = pageOf(program, kind, title, hasAnswers, options.clockHz ?? 2_500_000)
  return options.format === 'text' ? textPage(page) : htmlPage(page, options.paper ?? 'A4')
}

function pageOf(program: Program, kind: SheetKind, title: string, hasAnswers: boolean, clockHz: number): Page {
  switch (kind) {
    case 'keying':
      return keyingPage(program, title)
    case 'hand-assembly':
      return handAssemblyPage(program, title, hasAnswers)
    case 'displacement':
      return displacementPage(program, title, hasAnswers)
    case 'delay':
      return delayPage(program, title, hasAnswers, clockHz)
  }
}
