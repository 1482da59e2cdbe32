import { isMap, isSeq, parseDocument } from 'yaml'

/** Most runs that a case may have. */
const most = 64
/** What a case with a single run gets. */
const some = 8

/** The document's text with twice as many runs of a case, and how many these are; null where it cannot be given more. */
export function addRuns(text: string, caseId: string): { readonly text: string; readonly times: number } | null {
  const document = parseDocument(text)
  const cases = document.get('cases')
  if (document.errors.length > 0 || !isSeq(cases)) return null
  const found = cases.items.find((each) => isMap(each) && each.get('id') === caseId)
  if (!isMap(found)) return null
  const before = Number(found.get('times') ?? 1)
  const times = before === 1 ? some : Math.min(most, 2 * before)
  if (!Number.isInteger(times) || times <= before) return null
  found.set('times', times)
  return { text: document.toString({ lineWidth: 120 }), times }
}
