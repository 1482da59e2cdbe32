/**
 * What a task says of an instruction or a routine: it asks for it, allows it, says that it can be done without, or forbids
 * it. Null where it only mentions it.
 */
export type Stance = 'wanted' | 'allowed' | 'free' | 'denied'

/** The name of a word that is looked for, and lists of other names, once they are marked in a sentence. */
const [here, other] = ['§', '¤']

/** `firmware’s`, `calls to`, `the routine`: what may stand between a word that governs a name and the name. */
const between =
  '(?:(?:the|a|an|any|its|your|own|of|to|by|with|firmware|firmware’s|routines?|instructions?|calls?|calling|using|use)\\s+)*'

const isAre = '(?:is|are|was|were)'
const oughtNot = '(?:must|may|should|shall|can|could|will|would)(?: not| never|n’t)|cannot|is not to|are not to'
const doNot = '(?:do|does|did|will)(?: not|n’t)'
const banned = '(?:forbidden|banned|prohibited|ruled out|excluded|barred|off limits|out of bounds)'
const granted = '(?:allowed|permitted|welcome|at hand|fine)'

/** Words behind a name that say how the task stands to it, the first that fits: `BUZZ must not be used`. */
const behind: readonly (readonly [Stance | null, string])[] = [
  ['free', `(?:need|needs) not|needn’t|${doNot} (?:have|need) to`],
  ['free', `(?:${isAre} not|isn’t|aren’t) (?:needed|necessary|required|asked for)|${isAre} (?:optional|unnecessary)`],
  ['allowed', `(?:${isAre} not|isn’t|aren’t) ${banned}`],
  ['denied', oughtNot],
  ['denied', `(?:${isAre} (?:not|never|no longer)|isn’t|aren’t) (?:to be |${granted}|used\\b|called\\b)`],
  ['denied', `${isAre} ${banned}`],
  ['allowed', `(?:may|can|might)\\b|${isAre} (?:also |still |all )?${granted}|${isAre} free\\b`],
  ['wanted', `(?:must|should|shall|has to|have to)\\b|${isAre} (?:to be|required|needed|wanted)\\b`],
]

/** Words before a name. Of several the nearest counts, and none where a new clause begins between. */
const before: readonly (readonly [Stance | null, string])[] = [
  ['free', `(?:need|needs) not|needn’t|no need|${doNot} (?:have|need)(?: to)?|without (?:having|needing) to`],
  ['wanted', `(?:${doNot}|never) (?:forget|fail|omit)|(?:cannot|can’t|can not) do without`],
  ['allowed', `${doNot} hesitate|not ${banned}|nothing (?:hinders|keeps|stops) you|not only|not just`],
  ['wanted', `nothing (?:else )?(?:but|than)|(?:not|no) less than`],
  ['denied', oughtNot],
  ['denied', `${doNot}|never|not (?:allowed|permitted) to|${banned} to|no longer|do without|without|avoid(?:s|ing)?`],
  ['denied', 'instead of|rather than|in place of|refrains? from|neither|nor|none of'],
  ['denied', `(?:but|and|or|,) not|not(?= (?:by|with|through|from|via|using|calling) )|(?<=, )not(?= ${between}$)`],
  ['denied', `\\bno(?= ${between}$)`],
  ['wanted', '(?:must|should|shall|has to|have to|are to|is to|needs? to)\\b'],
  ['allowed', `(?:may|can|might|free to|${granted})\\b`],
]

const asking =
  /\b(?:call|calls|calling|use|uses|using|with|through|via|take|takes|need|needs)\b|(?<!\b(?:is|are|was|were|be|not) \w+ )\bby\b/i
const exempting = new RegExp(
  `\\b(?:except(?: for)?|but|other than|besides|save|apart from|(?<!rather )than)\\s+${between}$`,
  'i',
)
const nearNegation = new RegExp(`\\b(?:neither|nor|none of|no|not one|never)\\s+${between}$`, 'i')
/** A prohibition of some calls only is none of the routine. */
const limit =
  /^[^;]*?\b(?:more than|more often|before|until|after|twice|again|too (?:early|late|often|soon)|inside|while|during|(?:in|from|within) (?:the|your|its|an?) (?:handler|loop|interrupt))\b/i
const condition = /\b(?:if|unless|when|whenever|in case|where|(?:a|an|any|one|those) \w* ?(?:that|which|who))\b[^,;]*$/i
/** What would come of doing without is no order. */
const supposing = /^[^.]*\bwould\b/i
/** A clause that stands by itself ends what the words before it govern. */
const clauseEnd = new RegExp(
  `;|:|(?<!\\b(?:nothing|none|else|no \\w+|not only ${here}|not just ${here}) )\\bbut\\b(?! not)|\\b(?:however|although|though|whereas|while|before|after|until|because|since)\\b|,\\s*(?:(?:and|so|then|and then|and so)\\s+)?(?=(?:call|use|show|take|let|do|you|it|so|don’t)\\b)|,\\s+(?=(?:calling|using) )|\\b(?:be|been|is|are|was|were) (?:used|called|kept|needed|forbidden|allowed)\\b(?!:)|${other} (?:must|may|can|is|are|need)[^,;]*,`,
  'gi',
)

/** The firmware as a whole, or any of its routines; not `the firmware’s BUZZ`. */
export const theFirmware = 'firmware'
const wholeFirmware = /\b(?:[Tt]he )?[Ff]irmware(?:(?:’s)? routines?)?\b(?!’s| [A-Z]{2})/g
const exempted = /^\s*(?:but(?! not)|except|other than|besides|save|apart from)\b/i

/** What the whole task says of a name: a sentence that forbids it counts only where no other one asks for it or allows it. */
export function stanceOn(brief: string, name: string): Stance | null {
  const stances = sentencesOf(brief)
    .filter((sentence) => new RegExp(`\\b${name}\\b`).test(sentence))
    .flatMap((sentence) => stancesIn(sentence, name))
  for (const stance of ['wanted', 'allowed', 'free', 'denied'] as const) if (stances.includes(stance)) return stance
  return null
}

/** Sentences on one line each; questions ask and do not rule. */
function sentencesOf(brief: string): readonly string[] {
  return brief
    .replaceAll("'", '’')
    .replace(/\s+/g, ' ')
    .split(/(?<=[.!?])\s+/)
    .filter((sentence) => !sentence.endsWith('?'))
}

function stancesIn(sentence: string, name: string): readonly Stance[] {
  const marked = name === theFirmware ? sentence.replace(wholeFirmware, here) : marks(sentence, name)
  return marked.split(here).flatMap((_, i, parts) => {
    if (i === 0) return []
    const stance = stanceAt(parts.slice(0, i).join(other), parts.slice(i).join(other))
    return stance === null ? [] : [stance]
  })
}

/** The list of names in which the name stands as one sign, and other lists as another; remarks in brackets are left out. */
function marks(sentence: string, name: string): string {
  const isOurs = (text: string): boolean => new RegExp(`\\b${name}\\b`).test(text)
  const names = '[A-Z]{2,6}(?![a-z])'
  const list = new RegExp(
    `\\b${names}(?:(?:\\s*,\\s*(?:and |or |nor )?|\\s+(?:and|or|nor)\\s+)(?:the )?${names}\\b)*`,
    'g',
  )
  return sentence
    .replace(/\s*\([^)]*\)/g, (bracket) => (isOurs(bracket) ? bracket.replace(/[()]/g, '') : ''))
    .replace(list, (found) => (isOurs(found) ? here : other))
}

function stanceAt(pre: string, post: string): Stance | null {
  if (condition.test(pre) || (/^without\b/i.test(pre) && supposing.test(post))) return null
  if (/^\s*(?:is|are) not\s*(?:[.;,]|$)/i.test(post)) return opposite(lastSaid(pre))
  const said = stanceBehind(post)
  if (said !== null) {
    if (!nearNegation.test(pre)) return exempting.test(pre) && said === 'denied' ? 'allowed' : said
    return said === 'allowed' || said === 'wanted' ? 'denied' : said
  }
  const clause = pre.slice(lastEnd(pre))
  const governing = nearest(clause)
  if (governing === 'denied' && exempted.test(post)) return null
  if (/\b(?:allowed|permitted|all|anything|everything)\b/i.test(pre) && /\bexcept(?: for)?\s+\S*\s*$/i.test(pre))
    return 'denied'
  if (exempting.test(clause) && governing === 'denied') return 'allowed'
  if (governing === 'denied' && limit.test(post)) return null
  return governing ?? (asking.test(clause) ? 'wanted' : null)
}

function stanceBehind(post: string): Stance | null {
  const text = post.replace(/^(?:’s|\s+(?:itself|here|alone|too|also|both|all))*\s*/, '')
  for (const [stance, words] of behind) if (new RegExp(`^(?:${words})`, 'i').test(text)) return stance
  return null
}

/** What is said last of anything before: `BUZZ is forbidden; PAINT is not` takes up that word. */
function lastSaid(pre: string): Stance | null {
  const said = behind.flatMap(([stance, words]) =>
    [...pre.matchAll(new RegExp(`\\b(?:${words})`, 'gi'))].map(({ index }) => ({ stance, index })),
  )
  return said.sort((a, b) => a.index - b.index).at(-1)?.stance ?? null
}

function opposite(stance: Stance | null): Stance | null {
  return stance === 'denied' ? 'allowed' : stance === 'allowed' ? 'denied' : stance === 'wanted' ? 'free' : null
}

function nearest(clause: string): Stance | null {
  let [found, end]: [Stance | null, number] = [null, -1]
  let covered = -1
  const all = before.flatMap(([stance, words], order) =>
    [...clause.matchAll(new RegExp(`(?<![\\w’])(?:${words})(?![\\w’])`, 'gi'))].map(({ index, 0: text }) => ({
      ...{ stance, order, from: index, to: index + text.length },
    })),
  )
  for (const { stance, from, to } of all.sort((a, b) => a.from - b.from || a.order - b.order)) {
    // `no need` begins before `need`, and `need not` goes before both.
    if (from < covered) continue
    covered = to
    if (to > end) [found, end] = [stance, to]
  }
  return found
}

function lastEnd(pre: string): number {
  let end = 0
  for (const { index, 0: text } of pre.matchAll(clauseEnd)) end = index + text.length
  return end
}
