import { registerParts, type Registers } from '../../cpu/index.ts'
import { byRegister, isByteRegister, registerNames, type RegisterName } from '../case.ts'
import { endOf, momentAt, momentWords, type CaseRun, type Moment } from '../case-run.ts'
import { either, isFields, required, word } from '../schema/index.ts'
import { showByte, showWord } from '../../image/index.ts'
import type { RunResult } from '../../run/index.ts'
import {
  acceptanceOf,
  acceptedMisfits,
  acceptedValues,
  exactly,
  noValues,
  type Acceptance,
  type AcceptedValues,
} from '../accepted.ts'
import { andList } from '../words.ts'
import { checkKind, failed, orModel, passed, withParts, type HeldAtEnd } from './check.ts'

/** The pair that holds a register, and which half. */
export function placeOfRegister(register: RegisterName): { pair: keyof Registers; half: 'high' | 'low' | 'whole' } {
  switch (register) {
    case 'a':
      return { pair: 'af', half: 'high' }
    case 'f':
      return { pair: 'af', half: 'low' }
    case 'b':
      return { pair: 'bc', half: 'high' }
    case 'c':
      return { pair: 'bc', half: 'low' }
    case 'd':
      return { pair: 'de', half: 'high' }
    case 'e':
      return { pair: 'de', half: 'low' }
    case 'h':
      return { pair: 'hl', half: 'high' }
    case 'l':
      return { pair: 'hl', half: 'low' }
    case 'ixh':
      return { pair: 'ix', half: 'high' }
    case 'ixl':
      return { pair: 'ix', half: 'low' }
    case 'iyh':
      return { pair: 'iy', half: 'high' }
    case 'iyl':
      return { pair: 'iy', half: 'low' }
    default:
      return { pair: register, half: 'whole' }
  }
}

const flagCount = 8

/** The parts (`registerParts` of cpu, by their place) that a register is made of. */
export function partNumbersOf(register: RegisterName): readonly number[] {
  return partsOfRegister(register).map((name) => registerParts.findIndex((part) => part === name))
}

/** The names of the parts (`registerParts` of cpu) that a register is made of. */
export function partsOfRegister(register: RegisterName): readonly string[] {
  const flags = registerParts.slice(0, flagCount)
  if (register === 'f') return flags
  if (register === 'af') return ['A', ...flags]
  if (register.endsWith('_')) return [...register.slice(0, 2).toUpperCase()].map((half) => `${half}'`)
  if (register === 'ix' || register === 'iy') return [`${register.toUpperCase()}H`, `${register.toUpperCase()}L`]
  if (register === 'sp' || register.length !== 2) return [register.toUpperCase()]
  return [...register.toUpperCase()]
}

/** What a register holds. */
export function registerValue(registers: Registers, register: RegisterName): number {
  const { pair, half } = placeOfRegister(register)
  const value = Number(registers[pair])
  return half === 'high' ? value >> 8 : half === 'low' ? value & 0xff : value
}

/** `A = 0Bh`, `HL = 4602h`. */
export function registerText(register: RegisterName, value: number): string {
  return `${registerLabel(register)} = ${isByteRegister(register) ? showByte(value) : showWord(value)}`
}

function registerLabel(register: RegisterName): string {
  return register.toUpperCase().replace('_', "'")
}

/** The last instruction that changed a register; the end of the run where none did. */
export function lastChangeOf(run: CaseRun, register: RegisterName): Moment {
  const recording = run.recording()
  const { pair } = placeOfRegister(register)
  let from = run.result.steps
  // A pair changes more often than its half: F after nearly every instruction. 256 looks back are enough to be useful.
  for (let look = 0; look < 256; look++) {
    const step = recording.find(from, 'back', { kind: 'register-change', register: pair })
    if (step === null) return endOf(run)
    const [at] = recording.steps(step, step + 1)
    if (at !== undefined && registerValue(at.before, register) !== registerValue(at.after, register)) {
      return momentAt(recording, step)
    }
    from = step
  }
  return endOf(run)
}

function isRegisterName(name: string): name is RegisterName {
  return registerNames.some((each) => each === name)
}

/** The names of a group of registers, in the order they were written. */
export function registersOf(group: Readonly<Record<string, unknown>>): readonly RegisterName[] {
  return Object.keys(group).filter(isRegisterName)
}

type Wanted = number | 'model' | AcceptedValues

/** What a register may hold; `model` gives the model answer's run, null where it is not known. */
export function registerAcceptance(register: RegisterName, wanted: Wanted, model: () => RunResult | null): Acceptance {
  const bits = isByteRegister(register) ? 8 : 16
  const modelValue = (): number | null => {
    const result = model()
    return result === null ? null : registerValue(result.registers, register)
  }
  if (typeof wanted === 'number') return exactly(wanted, bits)
  if (wanted === 'model') return acceptanceOf({ ...noValues, value: 'model' }, bits, modelValue())
  return acceptanceOf(wanted, bits, wanted.value === 'model' ? modelValue() : null)
}

/** `A = 0Bh`, `A from 30h to 39h`, `HL AND FF00h = 4600h`. */
function wantedText(register: RegisterName, { after }: Acceptance): string {
  return `${registerLabel(register)} ${after}`
}

export const registers = checkKind({
  name: 'registers',
  category: 'registers at the end',
  about: 'Registers hold given values at the end of the run.',
  example: ['want: { a: 0Bh, b: { of: [1, 2, 4] }, c: { value: 80h, mask: F0h }, hl: { from: 4600h, to: 460Fh } }'],
  fields: {
    want: required(
      byRegister(orModel(either(acceptedValues, isFields, word))),
      'Each register with its value, with several values of which each is right, or `model`.',
    ),
  },
  needsEnd: true,
  isOfMoment: true,
  part: 'register',
  needsModel: (check) =>
    Object.values(check.want).some((each) => each === 'model' || (isFields(each) && each['value'] === 'model')),
  misfits: (check) =>
    registersOf(check.want).flatMap((register) => {
      const wanted = check.want[register]
      const bits = isByteRegister(register) ? 8 : 16
      return isFields(wanted) ? acceptedMisfits(registerLabel(register), wanted as AcceptedValues, bits) : []
    }),
  describe: (check) =>
    andList(
      registersOf(check.want).map((register) => {
        const wanted = check.want[register] ?? 'model'
        return wanted === 'model'
          ? `${register.toUpperCase()} as the model answer leaves it`
          : wantedText(
              register,
              registerAcceptance(register, wanted, () => null),
            )
      }),
    ),
  wants: (check, _profile, model) =>
    registersOf(check.want).map((register) => {
      const wanted = registerAcceptance(register, check.want[register] ?? 'model', model)
      return {
        place: { kind: 'register' as const, register },
        isOne: wanted.only !== null,
        isRight: ({ registers: held }: HeldAtEnd) => wanted.accepts(registerValue(held, register)),
      }
    }),
  open: (check) =>
    registersOf(check.want)
      .filter((register) => isFields(check.want[register]))
      .map((register) => ({ kind: 'register' as const, register })),
  mayBeChance: (check, _run, use) =>
    registersOf(check.want).some((register) => partNumbersOf(register).some((part) => use.isUndefined(part))),
  evaluate(check, run) {
    const rows = registersOf(check.want).map((register) => {
      const found = registerValue(run.result.registers, register)
      const wanted = registerAcceptance(register, check.want[register] ?? 'model', () => run.model())
      return { register, found, wanted, isRight: wanted.accepts(found) }
    })
    const measured = rows.map(({ register, found }) => registerText(register, found)).join(', ')
    const wanted = rows.map((row) => wantedText(row.register, row.wanted)).join(', ')
    const wrong = rows.find(({ isRight }) => !isRight)
    const right = rows.filter(({ isRight }) => isRight).length
    if (wrong === undefined) return withParts(passed(measured, wanted, null, endOf(run)), right, rows.length)
    const found = registerText(wrong.register, wrong.found)
    const message = `${momentWords(run).lead} ${found}; wanted ${wantedText(wrong.register, wrong.wanted)}.`
    return withParts(failed(measured, wanted, message, lastChangeOf(run, wrong.register)), right, rows.length)
  },
})
