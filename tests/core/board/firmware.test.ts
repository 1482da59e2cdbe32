import { readFileSync } from 'node:fs'
import { describe, expect, test } from 'vitest'
import { benchEight, bytesOfHex } from '../../../core/board/index.ts'
import { firmwareModuleText } from '../../../core/board/firmware/module-text.ts'
import { assembleFirmware, firmwareModule } from './assembled-firmware.ts'

describe('the firmware of Bench-8', () => {
  test('the module in core is what its source assembles to (generate-firmware.ts makes it anew)', () => {
    expect(readFileSync(firmwareModule, 'utf8')).toBe(firmwareModuleText(assembleFirmware()))
  })

  test('the calls stand where the domain page has them', () => {
    expect(benchEight.firmware.symbols).toEqual({ PAINT: 0x40, GETKEY: 0x48, WAITMS: 0x50, BUZZ: 0x58, GLYPH: 0x60 })
    expect(benchEight.firmware.routines.map(({ name, address }) => [name, address])).toEqual(
      Object.entries(benchEight.firmware.symbols),
    )
  })

  test('no routine is where a program returns to', () => {
    expect(Object.values(benchEight.firmware.symbols)).not.toContain(benchEight.firmware.returnTo)
  })

  test('its table of signs lies in one page', () => {
    const { SIGNS } = benchEight.firmware.labels
    expect((SIGNS ?? 0) & 0xff).toBeLessThanOrEqual(0xf0)
    expect(bytesOfHex(benchEight.firmware.hex).slice(SIGNS)).toHaveLength(16)
  })
})
