import { disassembleAt, type DisassembledInstruction } from '../../../disassembler/index.ts'
import { anything, theEnd, theTime, type Answer, type Asked } from './asked.ts'

/** An instruction that the task wants and that stands in the program: why it never ran. */
export const wantedInstruction: Answer = (asked) => {
  const named = [...((asked.fields['any'] ?? []) as string[]), ...((asked.fields['all'] ?? []) as string[])]
  return [
    ...neverRan(asked, ({ instruction }) => named.some((each) => isOf(instruction.text, each))),
    ...theTime(asked),
  ]
}

/** The call of a routine that the task wants. */
export const wantedCall: Answer = (asked) => {
  const routine = asked.profile.firmware.routines.find(
    ({ name }) => name === String(asked.fields['routine']).toUpperCase(),
  )
  const never = neverRan(asked, ({ refersTo }) => refersTo?.address === routine?.address)
  // One call too many is asked about where it was made.
  const isCounted = ['exactly', 'atLeast', 'atMost'].some((field) => typeof asked.fields[field] === 'number')
  return [...never, ...(isCounted ? anything(asked) : []), ...theEnd(asked)]
}

/** Whether an instruction is the one named, or has the mnemonic. */
function isOf(text: string, name: string): boolean {
  return text === name || text.split(' ')[0] === name
}

/** The first instruction of a sort that stands in the program and never ran. */
function neverRan(
  { recording, program }: Asked,
  isWanted: (found: DisassembledInstruction) => boolean,
): ReturnType<Answer> {
  const memory = recording.at(0).memory
  const addresses = program.listing.flatMap(({ kind, address }) =>
    kind === 'instruction' && address !== null ? [address] : [],
  )
  const never = addresses.find((address) => {
    if (!isWanted(disassembleAt((at) => memory[at & 0xffff] ?? 0, address))) return false
    const ran = recording.find(-1, 'on', { kind: 'pc', address })
    return ran === null || ran >= recording.result.steps
  })
  return never === undefined ? [] : [{ never }]
}
