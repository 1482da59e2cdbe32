import { registerNames } from '../case.ts'
import { endOf, momentWords } from '../case-run.ts'
import { choice, list, required } from '../schema/index.ts'
import { andList } from '../words.ts'
import { checkKind, failed, passed } from './check.ts'
import { lastChangeOf, partNumbersOf, registerText, registerValue } from './registers.ts'

export const registersKept = checkKind({
  name: 'registers-kept',
  category: 'registers kept',
  about: 'Registers hold at the end what they held at the start.',
  example: ['registers: [bc, de]'],
  fields: { registers: required(list(choice(registerNames), 1, 25), 'The registers that must come back unharmed.') },
  needsEnd: true,
  isOfMoment: true,
  describe: (check) => `${andList(check.registers.map((each) => each.toUpperCase()))} as at the start`,
  // One that was set, and holds what it held, does so by chance.
  mayBeChance: (check, _run, use) =>
    check.registers.some((register) => partNumbersOf(register).some((part) => !use.isKept(part))),
  evaluate(check, run) {
    const before = run.initial().registers
    const after = run.result.registers
    const wanted = check.registers.map((each) => registerText(each, registerValue(before, each))).join(', ')
    const measured = check.registers.map((each) => registerText(each, registerValue(after, each))).join(', ')
    const wrong = check.registers.find((each) => registerValue(before, each) !== registerValue(after, each))
    if (wrong === undefined) return passed(measured, wanted, null, endOf(run))
    const now = registerText(wrong, registerValue(after, wrong))
    const { end, start } = momentWords(run)
    const message = `${now} ${end}; it was ${registerText(wrong, registerValue(before, wrong))} ${start} and has to come back.`
    return failed(measured, wanted, message, lastChangeOf(run, wrong))
  },
})
