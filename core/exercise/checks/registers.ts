import { registerParts, type Registers } from '../../cpu/index.ts'
import { byRegister, isByteRegister, registerNames, type RegisterName } from '../case.ts'
import { endOf, momentAt, momentWords, type CaseRun, type Moment } from '../case-run.ts'
import { required, word } from '../schema/index.ts'
import { showByte, showWord } from '../../image/index.ts'
import { andList } from '../words.ts'
import { checkKind, failed, orModel, passed, withParts } from './check.ts'

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
  return `${register.toUpperCase().replace('_', "'")} = ${isByteRegister(register) ? showByte(value) : showWord(value)}`
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

export const registers = checkKind({
  name: 'registers',
  category: 'registers at the end',
  about: 'Registers hold given values at the end of the run.',
  example: ['want: { a: 0Bh, hl: 4602h }'],
  fields: { want: required(byRegister(orModel(word)), 'Each register with its value, or `model`.') },
  needsEnd: true,
  isOfMoment: true,
  part: 'register',
  needsModel: (check) => Object.values(check.want).includes('model'),
  describe: (check) =>
    andList(
      registersOf(check.want).map((register) => {
        const value = check.want[register]
        return typeof value === 'number'
          ? registerText(register, value)
          : `${register.toUpperCase()} as the model answer leaves it`
      }),
    ),
  wants: (check, _profile, model) =>
    registersOf(check.want).flatMap((register) => {
      const value = check.want[register]
      const result = value === 'model' ? model() : null
      const wanted =
        typeof value === 'number' ? value : result === null ? null : registerValue(result.registers, register)
      return wanted === null ? [] : [{ kind: 'register' as const, register, value: wanted, mask: 0xffff }]
    }),
  mayBeChance: (check, _run, use) =>
    registersOf(check.want).some((register) => partNumbersOf(register).some((part) => use.isUndefined(part))),
  evaluate(check, run) {
    const names = registersOf(check.want)
    const wantedOf = (register: RegisterName): number => {
      const value = check.want[register]
      const model = run.model()
      return typeof value === 'number' ? value : model === null ? 0 : registerValue(model.registers, register)
    }
    const texts = (valueOf: (register: RegisterName) => number): string =>
      names.map((register) => registerText(register, valueOf(register))).join(', ')
    const measuredOf = (register: RegisterName): number => registerValue(run.result.registers, register)
    const measured = texts(measuredOf)
    const wanted = texts(wantedOf)
    const wrong = names.find((register) => measuredOf(register) !== wantedOf(register))
    const right = names.filter((register) => measuredOf(register) === wantedOf(register)).length
    if (wrong === undefined) return withParts(passed(measured, wanted, null, endOf(run)), right, names.length)
    const found = registerText(wrong, measuredOf(wrong))
    const message = `${momentWords(run).lead} ${found}; wanted ${registerText(wrong, wantedOf(wrong))}.`
    return withParts(failed(measured, wanted, message, lastChangeOf(run, wrong)), right, names.length)
  },
})
