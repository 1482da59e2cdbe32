import { isMap, isSeq, parseDocument, stringify } from 'yaml'
import { addCheck, freeId, type PlainCheck } from './add-check.ts'

/** A case as it stands in a document. */
export type PlainCase = Readonly<Record<string, unknown>>

/** A case as a line of the document's list of cases. */
export function caseText(plainCase: PlainCase): string {
  return stringify([plainCase], { lineWidth: 100 }).trimEnd()
}

/**
 * The document's text with one more case at the end of its list, and a check that looks at it, if one is given; comments and
 * everything else stay. An id that another case has gets a number. Null where the text is no document.
 */
export function addCase(text: string, plainCase: PlainCase, check: PlainCheck | null, words: string): string | null {
  const document = parseDocument(text)
  const cases = document.get('cases')
  if (document.errors.length > 0 || !isMap(document.contents) || (cases !== undefined && !isSeq(cases))) return null
  const plain = document.toJS() as { readonly cases?: readonly { readonly id?: string }[] }
  const taken = (plain.cases ?? []).map(({ id }) => id)
  const id = freeId(String(plainCase['id'] ?? 'case'), taken)
  const added = { ...plainCase, id }
  if (cases === undefined) document.set('cases', [added])
  else document.addIn(['cases'], document.createNode(added))
  const more = document.toString({ lineWidth: 120 })
  return check === null ? more : addCheck(more, { ...check, cases: [id] }, words)
}
