/** Times as people read them, in the time zone of the course. */

const minute = 60_000
const hour = 60 * minute
const day = 24 * hour

/** `Wed 25 Nov, 09:30`, with the year where it is not this one. */
export function moment(iso: string, timeZone: string, now: number): string {
  const at = new Date(iso)
  const year = (date: Date) => new Intl.DateTimeFormat('en-GB', { timeZone, year: 'numeric' }).format(date)
  const isThisYear = year(at) === year(new Date(now))
  const parts = new Intl.DateTimeFormat('en-GB', {
    timeZone,
    weekday: 'short',
    day: 'numeric',
    month: 'short',
    ...(isThisYear ? {} : { year: 'numeric' }),
    hour: '2-digit',
    minute: '2-digit',
    hourCycle: 'h23',
  }).formatToParts(at)
  const part = (type: string) => parts.find((each) => each.type === type)?.value ?? ''
  const date = [part('weekday'), part('day'), part('month'), part('year')].filter((word) => word !== '').join(' ')
  return `${date}, ${part('hour')}:${part('minute')}`
}

/** `09:30:05`, for receipts. */
export function clockTime(iso: string, timeZone: string): string {
  return new Intl.DateTimeFormat('en-GB', {
    timeZone,
    hour: '2-digit',
    minute: '2-digit',
    second: '2-digit',
    hourCycle: 'h23',
  }).format(new Date(iso))
}

/** How far off, in the unit that suits: `in 3 days`, `in 40 minutes`, `2 hours ago`, `now`. */
export function distance(iso: string, now: number): string {
  const off = Date.parse(iso) - now
  const size = Math.abs(off)
  if (size < minute) return 'now'
  const [amount, unit] =
    size < hour
      ? [Math.round(size / minute), 'minute']
      : size < 2 * day
        ? [Math.round(size / hour), 'hour']
        : [Math.round(size / day), 'day']
  const words = `${amount} ${unit}${amount === 1 ? '' : 's'}`
  return off > 0 ? `in ${words}` : `${words} ago`
}

/** What `<input type="datetime-local">` takes: the wall clock of the course's time zone. */
export function toWallClock(iso: string, timeZone: string): string {
  const parts = new Intl.DateTimeFormat('en-GB', {
    timeZone,
    year: 'numeric',
    month: '2-digit',
    day: '2-digit',
    hour: '2-digit',
    minute: '2-digit',
    hourCycle: 'h23',
  }).formatToParts(new Date(iso))
  const part = (type: string) => parts.find((each) => each.type === type)?.value ?? ''
  return `${part('year')}-${part('month')}-${part('day')}T${part('hour')}:${part('minute')}`
}

/**
 * The moment at which a wall clock in that zone shows `wallClock` (`2026-11-25T09:30`). Where the clock is put back and
 * shows it twice, the first; where it is put forward and never shows it, as much after the gap as it says.
 */
export function fromWallClock(wallClock: string, timeZone: string): string {
  const wanted = Date.parse(`${wallClock}:00Z`)
  const offsets = [wanted - day, wanted + day].map((near) => offsetAt(near, timeZone))
  const candidates = offsets.map((offset) => wanted - offset).sort((a, b) => a - b)
  const exact = candidates.find((at) => at + offsetAt(at, timeZone) === wanted)
  return new Date(exact ?? wanted - Math.min(...offsets)).toISOString()
}

/** Milliseconds by which the zone's wall clock is ahead of UTC at that moment. */
function offsetAt(at: number, timeZone: string): number {
  return Date.parse(`${toWallClock(new Date(at).toISOString(), timeZone)}:00Z`) - Math.floor(at / minute) * minute
}
