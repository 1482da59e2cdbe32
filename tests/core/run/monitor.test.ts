import { beforeEach, describe, expect, test } from 'vitest'
import { benchEight } from '../../../core/board/index.ts'
import { checkBytes } from '../../../core/image/index.ts'
import { Machine } from '../../../core/run/index.ts'
import { ms, shown, tap } from './fingers.ts'

/** A board just switched on, with memory as `fill`. */
function switchedOn(fill?: ConstructorParameters<typeof Machine>[1]): Machine {
  const machine = new Machine(benchEight, fill)
  machine.runUntil(200 * ms)
  return machine
}

const bytesAt = (from: number, count: number) => Buffer.from(machine.memory.slice(from, from + count)).toString('hex')
const seen = () => shown(machine, { points: true })
/** Keys of several bytes: one for each figure. */
const figures = (hex: string) => [...hex.replaceAll(' ', '')]
const sheet = '3E 05 06 03 80 10 FD 76'
const sheetHex = sheet.replaceAll(' ', '').toLowerCase()

let machine: Machine
beforeEach(() => {
  machine = switchedOn()
})

describe('what the monitor shows', () => {
  test('after power-on: byte before, byte here with the point, byte after, and the place 4000h', () => {
    machine = switchedOn({ byte: 0xa5 })
    // 3FFFh is no memory and reads FFh.
    expect(seen()).toBe('FFA.5A500')
    expect(machine.digitsNow().every(({ state }) => state === 'steady')).toBe(true)
  })

  test('a byte of which one figure is keyed, with a _ for the other, and memory still as it was', () => {
    tap(machine, '3')
    expect([seen(), bytesAt(0x4000, 1)]).toEqual(['FF3_.0000', '00'])
    tap(machine, 'E')
    expect([seen(), bytesAt(0x4000, 1)]).toEqual(['3E0.00001', '3e'])
  })

  test('a key held down counts once', () => {
    machine.press('7')
    machine.runUntil(machine.tStates + 2000 * ms)
    machine.release('7')
    machine.runUntil(machine.tStates + 100 * ms)
    expect(seen()).toBe('FF7_.0000')
  })
})

describe('keying', () => {
  test('eight bytes of a sheet are sixteen keys; RUN twice runs them, and reset leads back with memory kept', () => {
    tap(machine, ...figures(sheet))
    expect([seen(), bytesAt(0x4000, 8)]).toEqual(['760.00008', sheetHex])
    tap(machine, 'RUN')
    expect(shown(machine)).toBe('RUN 4000')
    tap(machine, 'RUN')
    const { af, isHalted, pc } = machine.registers()
    // 5 + 3 + 2 + 1 = 0Bh; PC stands behind the HALT at 4007h (arithmetic, UM0080).
    expect([af >> 8, isHalted, pc]).toEqual([0x0b, true, 0x4008])
    machine.reset()
    machine.runUntil(machine.tStates + 100 * ms)
    expect([seen(), bytesAt(0x4000, 8)]).toEqual(['FF3.E0500', sheetHex])
  })

  test('a doubled byte shows at the end of the line, and REMOVE takes it out', () => {
    tap(machine, ...figures('3E 05 06 03 03 80 10 FD 76'))
    // Eight bytes from 4000h end at 08; here the place says 09.
    expect(seen()).toBe('760.00009')
    tap(machine, 'LEFT', 'LEFT', 'LEFT', 'LEFT', 'LEFT')
    expect(seen()).toBe('030.38004')
    tap(machine, 'REMOVE')
    expect([seen(), bytesAt(0x4000, 9)]).toEqual(['038.01004', `${sheetHex}00`])
    tap(machine, 'RUN', 'RUN')
    expect([machine.registers().af >> 8, machine.registers().isHalted]).toEqual([0x0b, true])
  })

  test('a missed byte shows at the end of the line, and INSERT makes room for it', () => {
    tap(machine, ...figures('3E 05 06 80 10 FD 76'))
    expect(seen()).toBe('760.00007')
    tap(machine, 'LEFT', 'LEFT', 'LEFT', 'LEFT', 'INSERT')
    expect(seen()).toBe('060.08003')
    tap(machine, '0', '3')
    expect(bytesAt(0x4000, 8)).toBe(sheetHex)
  })

  test('a doubled figure leaves every byte behind it askew and the line half a byte too long', () => {
    tap(machine, ...figures('3E 00 50 60 38 01 0F D7 6'))
    expect(seen()).toBe('D76_.0008')
  })

  test('LEFT takes a waiting figure back, and otherwise goes a byte back; RIGHT goes on', () => {
    tap(machine, ...figures('3E 0'), 'LEFT')
    expect(seen()).toBe('3E0.00001')
    tap(machine, 'LEFT')
    expect(seen()).toBe('FF3.E0000')
    tap(machine, 'RIGHT', 'RIGHT', '7', 'RIGHT')
    expect([seen(), bytesAt(0x4000, 4)]).toEqual(['000.00003', '3e000000'])
  })

  test('STOP drops a waiting figure', () => {
    tap(machine, '7', 'STOP')
    expect([seen(), bytesAt(0x4000, 1)]).toEqual(['FF0.00000', '00'])
  })

  test('where there is no RAM a byte is not taken, and the place stays', () => {
    tap(machine, 'AT', '0', '0', '4', '0')
    const before = seen()
    tap(machine, '1', '2')
    expect(seen()).toBe(before)
  })
})

describe('AT', () => {
  test('shows the whole address and leads to another with four figures', () => {
    tap(machine, 'AT')
    expect(seen()).toBe('AT  4.000')
    tap(machine, '4', '6', '1')
    expect(seen()).toBe('AT  4610.')
    tap(machine, 'F')
    expect(shown(machine)).toBe('0000001F')
    tap(machine, '3', '7')
    expect(bytesAt(0x461f, 1)).toBe('37')
  })

  test('pressed again takes the address as it stands; STOP leaves the place where it was', () => {
    tap(machine, 'AT', '4', '6', 'AT', ...figures('37'))
    expect(bytesAt(0x4600, 1)).toBe('37')
    tap(machine, 'AT', '4', '1', 'STOP', ...figures('73'))
    expect(bytesAt(0x4600, 2)).toBe('3773')
  })

  test('other keys do nothing meanwhile', () => {
    tap(machine, 'AT', '4', '6', 'LEFT', 'RIGHT', 'INSERT', 'REMOVE', 'CHECK', 'RUN')
    expect(seen()).toBe('AT  460.0')
  })
})

describe('RUN', () => {
  test('starts where it says, and says the same address next time; RET comes back to the place that was left', () => {
    tap(machine, 'AT', '4', '0', '2', '0', ...figures('3E 42 32 00 46 C9'))
    tap(machine, 'RUN', '4', '0', '2', '0')
    expect([seen(), bytesAt(0x4600, 1)]).toEqual(['RUN 4.020', '00'])
    tap(machine, 'RUN')
    expect([seen(), bytesAt(0x4600, 1)]).toEqual(['C90.00026', '42'])
    tap(machine, 'RUN')
    expect(shown(machine)).toBe('RUN 4020')
  })

  test('STOP starts nothing', () => {
    tap(machine, ...figures('76'), 'RUN', 'STOP')
    expect(seen()).toBe('760.00001')
  })

  test('what is made ready before a program starts is what the profile says', () => {
    machine = switchedOn({ byte: 0xee })
    tap(machine, 'RUN')
    machine.setBreakpoints([0x4000])
    machine.press('RUN')
    expect(machine.runUntil(machine.tStates + 200 * ms)).toBe('breakpoint')
    for (const { at, hex } of benchEight.firmware.ready) expect(bytesAt(at, hex.length / 2)).toBe(hex)
    const { sp, pc, im, iff1 } = machine.registers()
    expect({ sp, pc, im, iff1 }).toEqual({ sp: 0x47fe, pc: 0x4000, im: benchEight.timer?.interruptMode, iff1: false })
    expect((machine.memory[0x47fe] ?? 0) | ((machine.memory[0x47ff] ?? 0) << 8)).toBe(benchEight.firmware.returnTo)
  })
})

describe('INSERT and REMOVE', () => {
  const page = Array.from({ length: 0x100 }, (_, i) => i)

  test.each([0x00, 0x01, 0x80, 0xfe, 0xff])('at place %i move the rest of the page and no other byte', (low) => {
    machine.load({ segments: [{ start: 0x41ff, bytes: Uint8Array.from([0xbb, ...page, 0xaa]) }] })
    tap(machine, 'AT', '4', '2', ...low.toString(16).toUpperCase().padStart(2, '0'))
    tap(machine, 'INSERT')
    expect([...machine.memory.slice(0x4200, 0x4300)]).toEqual([...page.slice(0, low), 0, ...page.slice(low, 0xff)])
    tap(machine, 'REMOVE')
    expect([...machine.memory.slice(0x4200, 0x4300)]).toEqual([...page.slice(0, 0xff), 0])
    expect([machine.memory[0x41ff], machine.memory[0x4300]]).toEqual([0xbb, 0xaa])
  })

  test('leave the page of the digits and the stack alone', () => {
    tap(machine, 'AT', '4', '7', '8', '0', ...figures('12 34'), 'LEFT', 'LEFT')
    const before = seen()
    tap(machine, 'INSERT', 'REMOVE')
    expect(seen()).toBe(before)
  })
})

describe('CHECK', () => {
  /** S and W as the sheet has them, and the place. */
  const wanted = (bytes: readonly number[], place: number) => {
    const { s, w } = checkBytes(bytes)
    return [s, w, place].map((byte) => byte.toString(16).toUpperCase().padStart(2, '0')).join('-')
  }

  test('shows S and W of the line that ends here, as the sheet has them', () => {
    tap(machine, ...figures(sheet), 'CHECK')
    expect(shown(machine)).toBe('4F-E1-08')
    tap(machine, ...figures('12 F3 80'), 'CHECK')
    expect(shown(machine)).toBe(wanted([0x12, 0xf3, 0x80], 0x0b))
  })

  test('counts from where AT led when a line begins elsewhere', () => {
    tap(machine, 'AT', '4', '6', '0', '5', ...figures('C3 9A'), 'CHECK')
    expect(shown(machine)).toBe(wanted([0xc3, 0x9a], 0x07))
    tap(machine, ...figures('FF 01 02'), 'CHECK')
    expect(shown(machine)).toBe(wanted([0x01, 0x02], 0x0a))
  })

  test('the next key does what it does without it', () => {
    tap(machine, ...figures(sheet), 'CHECK', '1')
    expect(seen()).toBe('761_.0008')
    tap(machine, 'CHECK', 'STOP')
    expect(seen()).toBe('760.00008')
  })
})
