import type { Addr, Byte } from '../../cpu/index.ts'

/** What assembling the firmware gave. */
export interface AssembledFirmware {
  /** From address 0 up. */
  readonly bytes: ArrayLike<Byte>
  readonly symbols: Readonly<Record<string, Addr>>
}

/** The text of the module `core/board/generated/bench-8-firmware.ts`. */
export function firmwareModuleText({ bytes, symbols }: AssembledFirmware): string {
  const hex = Array.from(bytes, (byte) => byte.toString(16).toUpperCase().padStart(2, '0'))
  const lines = Array.from({ length: Math.ceil(hex.length / 32) }, (_, k) => hex.slice(32 * k, 32 * k + 32).join(''))
  const names = Object.entries(symbols).sort(([a], [b]) => (a < b ? -1 : 1))
  return [
    '// Made from core/board/firmware/bench-8.asm by tests/core/board/generate-firmware.ts; not edited by hand.',
    '',
    '/** The bytes of the firmware from address 0 up, two hexadecimal digits each. */',
    'export const firmwareHex = [',
    ...lines.map((line) => `  '${line}',`),
    "].join('')",
    '',
    '/** Every name of the source. */',
    'export const firmwareSymbols = {',
    ...names.map(([name, address]) => `  ${name}: 0x${address.toString(16).padStart(4, '0')},`),
    '} as const',
    '',
  ].join('\n')
}
