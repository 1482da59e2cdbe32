/** A cell of a sheet: words (a line each, parted by line ends), or null for a space to write in. */
export type Cell = string | null

export interface Column {
  readonly title: string
  /** Width in characters, for the text form and for spaces to write in. */
  readonly width: number
  readonly align: 'left' | 'right'
}

export interface Table {
  readonly caption: string | null
  readonly columns: readonly Column[]
  readonly rows: readonly (readonly Cell[])[]
}

/** A sheet before it is text or HTML. */
export interface Page {
  readonly title: string
  /** What to do with the sheet, a sentence or two each. */
  readonly intro: readonly string[]
  readonly tables: readonly Table[]
}

/** A column of words. */
export function words(title: string, width: number): Column {
  return { title, width, align: 'left' }
}

/** A column of figures. */
export function figures(title: string, width: number): Column {
  return { title, width, align: 'right' }
}
