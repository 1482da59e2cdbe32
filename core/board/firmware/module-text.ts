import type { Addr, Byte } from '../../cpu/index.ts'

/** What assembling the firmware gave. */
export interface AssembledFirmware {
  /** From address 0 up. */
  readonly bytes: ArrayLike<Byte>
  readonly symbols: Readonly<Record<string, number>>
  /** Those of the symbols that stand at an instruction or at data. */
  readonly labels: Readonly<Record<string, Addr>>
}

/** The text of the module `core/board/generated/bench-8-firmware.ts`. */
export function firmwareModuleText({ bytes, symbols, labels }: AssembledFirmware): string {
  const hex = Array.from(bytes, (byte) => byte.toString(16).toUpperCase().padStart(2, '0'))
  const lines = Array.from({ length: Math.ceil(hex.length / 32) }, (_, k) => hex.slice(32 * k, 32 * k + 32).join(''))
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
    ...entries(symbols),
    '} as const',
    '',
    '/** The names that stand at an instruction or at data. */',
    'export const firmwareLabels = {',
    ...entries(labels),
    '} as const',
    '',
  ].join('\n')
}

function entries(names: Readonly<Record<string, number>>): string[] {
  return Object.entries(names)
    .sort(([a], [b]) => (a < b ? -1 : 1))
    .map(([name, value]) => `  ${name}: 0x${value.toString(16).padStart(4, '0')},`)
}
