/**
 * A reader of value change dumps, written for these tests from the syntax in IEEE 1364-2001, clause 18.2 (from memory).
 * It takes nothing for granted and throws at whatever the syntax does not have.
 */
export interface Dump {
  readonly timescale: string
  readonly comments: readonly string[]
  /** By full name, scopes parted by dots. */
  readonly lanes: ReadonlyMap<string, Lane>
  readonly end: number
}

export interface Lane {
  readonly bits: number
  /** `[time, value]` for the first and every later change. */
  readonly changes: readonly (readonly [time: number, value: number])[]
}

export function readVcd(text: string): Dump {
  const tokens = text.split(/\s+/).filter((token) => token !== '')
  const comments: string[] = []
  const scopes: string[] = []
  const lanes = new Map<string, { bits: number; id: string; changes: [number, number][] }>()
  const byId = new Map<string, { bits: number; changes: [number, number][] }>()
  let timescale = ''
  let time = -1
  let at = 0
  const next = () => {
    const token = tokens[at]
    if (token === undefined) throw new Error('the file ends in the middle')
    at += 1
    return token
  }
  const untilEnd = () => {
    const words: string[] = []
    for (let word = next(); word !== '$end'; word = next()) words.push(word)
    return words
  }
  const change = (id: string, value: string) => {
    const lane = byId.get(id)
    if (lane === undefined) throw new Error(`no lane ${id}`)
    if (!/^[01]+$/.test(value) || value.length > lane.bits) throw new Error(`${value} for ${lane.bits} bits`)
    if (time < 0) throw new Error('a value before any time')
    const last = lane.changes.at(-1)
    if (last?.[0] === time) throw new Error(`two values of ${id} at ${time}`)
    lane.changes.push([time, Number.parseInt(value, 2)])
  }
  let isDeclaring = true
  while (isDeclaring) {
    const keyword = next()
    const words = untilEnd()
    switch (keyword) {
      case '$date':
      case '$version':
        break
      case '$comment':
        comments.push(words.join(' '))
        break
      case '$timescale':
        timescale = words.join(' ')
        if (!/^(1|10|100) ?(s|ms|us|ns|ps|fs)$/.test(timescale)) throw new Error(`timescale ${timescale}`)
        break
      case '$scope':
        if (words.length !== 2 || words[0] !== 'module') throw new Error(`scope ${words.join(' ')}`)
        scopes.push(words[1] ?? '')
        break
      case '$upscope':
        if (scopes.pop() === undefined) throw new Error('upscope without a scope')
        break
      case '$var': {
        const [type, size, id = '', name = '', range] = words
        const bits = Number(size)
        if (type !== 'wire' || !/^[!-~]+$/.test(id) || !/^[A-Za-z_][A-Za-z0-9_$]*$/.test(name) || byId.has(id))
          throw new Error(`var ${words.join(' ')}`)
        if (bits > 1 && range !== `[${bits - 1}:0]`) throw new Error(`range ${range}`)
        const lane = { bits, id, changes: [] }
        byId.set(id, lane)
        lanes.set([...scopes, name].join('.'), lane)
        break
      }
      case '$enddefinitions':
        isDeclaring = false
        break
      default:
        throw new Error(`keyword ${keyword}`)
    }
  }
  if (scopes.length > 0) throw new Error('a scope is open')
  for (; at < tokens.length;) {
    const token = next()
    if (token === '$dumpvars' || token === '$end') continue
    if (token.startsWith('#')) {
      const now = Number(token.slice(1))
      if (!/^#\d+$/.test(token) || now <= time) throw new Error(`time ${token} after ${time}`)
      time = now
    } else if (/^[bB]/.test(token)) change(next(), token.slice(1))
    else change(token.slice(1), token.slice(0, 1))
  }
  return { timescale, comments, lanes, end: time }
}

/** What a lane holds at a time. */
export function valueAt({ changes }: Lane, time: number): number | undefined {
  return changes.findLast(([at]) => at <= time)?.[1]
}
