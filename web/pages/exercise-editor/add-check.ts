import { isMap, isSeq, parseDocument } from 'yaml'

/** A check as it stands in a document. What it leaves out is filled in. */
export type PlainCheck = Readonly<Record<string, unknown>>

/**
 * The document's text with one more check at the end of its list; comments and everything else stay. A check without
 * id, title or group gets a free id, `words` as its title, and the first group. Null where the text is no document.
 */
export function addCheck(text: string, check: PlainCheck, words: string): string | null {
  const document = parseDocument(text)
  const checks = document.get('checks')
  if (document.errors.length > 0 || !isMap(document.contents) || (checks !== undefined && !isSeq(checks))) return null
  const plain = document.toJS() as {
    readonly checks?: readonly { readonly id?: string }[]
    readonly groups?: readonly { readonly id?: string }[]
  }
  const taken = (plain.checks ?? []).map(({ id }) => id)
  const whole = {
    id: freeId(String(check['kind'] ?? 'check'), taken),
    title: titleOf(words),
    group: plain.groups?.[0]?.id ?? 'function',
    ...check,
  }
  document.addIn(['checks'], document.createNode(whole))
  return document.toString({ lineWidth: 120 })
}

/** A name that is not taken: with a number behind it where it is. */
export function freeId(kind: string, taken: readonly (string | undefined)[]): string {
  for (let number = 1; ; number++) {
    const id = number === 1 ? kind : `${kind}-${number}`
    if (!taken.includes(id)) return id
  }
}

/** The words without the case at their beginning, as a title may be long. */
function titleOf(words: string): string {
  const flat = words.replace(/\s+/g, ' ').trim().replace(/\.$/, '')
  return flat.length > 80 ? `${flat.slice(0, 79)}…` : flat
}
