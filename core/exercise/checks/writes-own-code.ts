import type { Addr } from '../../cpu/index.ts'
import { showByte, showWord } from '../../image/index.ts'
import { endOf, type CaseRun } from '../case-run.ts'
import { checkKind, failed, passed } from './check.ts'

/** True when the byte at `address` belongs to the program that was handed in. */
function isLoaded(run: CaseRun, address: Addr): boolean {
  return run.program.image.segments.some(({ start, bytes }) => address >= start && address < start + bytes.length)
}

/** True when a line of the listing says that the byte is data. */
function isData(run: CaseRun, address: Addr): boolean {
  const line = run.program.listing.find(
    (each) => each.address !== null && address >= each.address && address < each.address + each.bytes.length,
  )
  return line?.kind === 'data'
}

export const writesOwnCode = checkKind({
  name: 'writes-own-code',
  category: 'the program left as loaded',
  about: 'The program does not write over its own instructions.',
  example: [],
  fields: {},
  needsEnd: false,
  isWatchingWrites: () => true,
  describe: () => 'no write to the program’s own instructions',
  evaluate(_check, run) {
    const wanted = 'no write to its own instructions'
    for (const event of run.result.events) {
      if (event.kind !== 'memory-write' || !isLoaded(run, event.address) || isData(run, event.address)) continue
      const place = showWord(event.address)
      const message = `The instruction at ${showWord(event.pc)} wrote ${showByte(event.value)} to ${place}, into the program itself.`
      return failed(`a write to ${place}`, wanted, message, { t: event.t, address: event.pc, step: null })
    }
    return passed(wanted, wanted, null, endOf(run))
  },
})
