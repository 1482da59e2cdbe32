/** Fields that may have several lines, wherever they stand; everything else is one line. */
const severalLines = new Set(['text', 'source', 'description', 'note', 'answer', 'remark', 'texts', 'answers'])
/** Lists and groups in each other; no body of the API has more than 6. */
const deepest = 32
const mostPlaces = 20

const kinds = [
  { of: /[\u{D800}-\u{DFFF}]/u, name: 'half a character' },
  // Unicode Standard Annex 9, table 4: they change the order in which the text beside them is shown.
  { of: /[\u061C\u200E\u200F\u202A-\u202E\u2066-\u2069]/u, name: 'a character that turns the direction of writing' },
  // Category Cf and the blank letters of Hangul (Unicode 15, DerivedCoreProperties, Default_Ignorable_Code_Point).
  {
    // eslint-disable-next-line no-misleading-character-class -- each is looked for by itself
    of: /[\u00AD\u115F\u1160\u17B4\u17B5\u180E\u200B\u2060-\u2065\u206A-\u206F\u3164\uFEFF\uFFA0\uFFF0-\uFFFB\u{E0000}-\u{E0FFF}]/u,
    name: 'a character without width',
  },
  // Joiners hold letters of several scripts and parts of a picture together (RFC 5892, appendix A); elsewhere nobody sees them.
  {
    of: /(?<![\p{M}\p{Script=Arabic}\p{Script=Syriac}\p{Script=Nko}\p{Script=Mongolian}\p{Extended_Pictographic}\p{Emoji_Modifier}])[\u200C\u200D]|[\u200C\u200D](?![\p{L}\p{M}\p{Extended_Pictographic}])/u,
    name: 'a character without width',
  },
  // ISO/IEC 6429, but for tab, line feed and carriage return.
  // eslint-disable-next-line no-control-regex -- they are what is looked for
  { of: /[\u0000-\u0008\u000B\u000C\u000E-\u001F\u007F-\u009F]/, name: 'a control character' },
] as const
const lineKind = { of: /[\t\n\r\u2028\u2029]/, name: 'a tab or a new line' }

/** The first character that a text may not hold, in words: `a control character (U+0000) at position 3`; null for none. */
export function strangeCharacter(text: string, isOneLine: boolean): string | null {
  // Most texts are plain, and one pass without steps back says so.
  if (!/[^ -~]/.test(text)) return null
  // A byte order mark is how some editors begin a file.
  const body = isOneLine || text.charCodeAt(0) !== 0xfeff ? text : ` ${text.slice(1)}`
  for (const { of, name } of isOneLine ? [...kinds, lineKind] : kinds) {
    const at = body.search(of)
    if (at === -1) continue
    const code = (body.codePointAt(at) ?? 0).toString(16).toUpperCase().padStart(4, '0')
    return `${name} (U+${code}) at position ${at + 1}`
  }
  return null
}

/** Where in a value something stands that may not, and what it is. */
export interface StrangePlace {
  readonly path: readonly string[]
  readonly found: string
}

/** Goes through everything that was sent, names of fields too, and gives the first twenty places. */
export function strangePlaces(value: unknown, { isOneLine }: { readonly isOneLine: boolean }): readonly StrangePlace[] {
  const places: StrangePlace[] = []
  const look = (each: unknown, path: readonly string[], isLine: boolean): void => {
    if (places.length >= mostPlaces) return
    if (typeof each === 'string') {
      const found = strangeCharacter(each, isLine)
      if (found !== null) places.push({ path, found })
    } else if (typeof each === 'object' && each !== null) {
      if (path.length === deepest)
        places.push({ path: [], found: `lists and groups more than ${deepest} deep in each other` })
      else for (const [key, inner] of Object.entries(each)) lookInto(key, inner, path, isLine)
    }
  }
  const lookInto = (key: string, inner: unknown, path: readonly string[], isLine: boolean): void => {
    if (strangeCharacter(key, true) === null) look(inner, [...path, key], isLine && !severalLines.has(key))
    else places.push({ path, found: 'a field whose name is no plain text' })
  }
  look(value, [], isOneLine)
  return places
}
