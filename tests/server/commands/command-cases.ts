import fc from 'fast-check'
import { mkdirSync, mkdtempSync, rmSync, symlinkSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { commandLine } from '../../../server/commands/command-line.ts'

/** What one command line said and how it ended. */
export interface Outcome {
  readonly code: number
  readonly out: string
  readonly err: string
}

/** Runs a command line in this process, with what it prints caught. */
export async function inProcess(words: readonly string[]): Promise<Outcome> {
  const said = { out: '', err: '' }
  const catching = (to: 'out' | 'err') =>
    ((text: string | Uint8Array) => {
      said[to] += typeof text === 'string' ? text : Buffer.from(text).toString()
      return true
    }) as typeof process.stdout.write
  const before = { out: process.stdout.write, err: process.stderr.write }
  process.stdout.write = catching('out')
  process.stderr.write = catching('err')
  try {
    return { code: await commandLine(words), ...said }
  } finally {
    process.stdout.write = before.out
    process.stderr.write = before.err
  }
}

/** Why an outcome is none that a script can rely on; null when it is. */
export function complaint(words: readonly string[], { code, out, err }: Outcome): string | null {
  if (![0, 1, 2].includes(code)) return `code ${code}`
  const all = out + err
  if (/mistake of Hexcairn's own/.test(all)) return `an unforeseen fault: ${all}`
  if (/^ +at .*:\d+:\d+\)?$/m.test(all)) return `a stack trace: ${all}`
  if (code !== 2) return null
  if (words.includes('--json')) {
    try {
      JSON.parse(out)
      return null
    } catch {
      return `no JSON document: ${out.slice(0, 200)}`
    }
  }
  return err.trim() === '' ? 'no word about the fault' : null
}

/** A folder with files of every kind that a user may name by mistake. `remove` takes it away. */
export function strangeFiles(): { readonly folder: string; readonly names: readonly string[]; remove(): void } {
  const folder = mkdtempSync(join(tmpdir(), 'hexcairn-strange-'))
  const bytes = (count: number, seed: number): Buffer =>
    Buffer.from(Array.from({ length: count }, (_, i) => Math.imul(i + seed, 2654435761) >>> 24))
  const files: Record<string, string | Buffer> = {
    'good.asm': ' LD A,5\n HALT\n',
    'good.hex': '3E 05 76\n',
    'good.bin': Buffer.from([0x3e, 5, 0x76]),
    'wrong.asm': ' LD A,256\n NOPE\n',
    'empty.asm': '',
    'empty.bin': '',
    'large.bin': Buffer.alloc(0xc001),
    'whole.bin': Buffer.alloc(0x10000, 0x76),
    'larger.bin': Buffer.alloc(70_000),
    'huge.asm': Buffer.alloc(5 * 1024 * 1024, 0x3b),
    'junk.asm': bytes(3000, 1),
    'junk.hex': bytes(3000, 2),
    'junk.yaml': bytes(3000, 3),
    'junk.json': bytes(500, 4),
    'deep.yaml': '['.repeat(5000),
    'deep.json': '['.repeat(100_000),
    'alias.yaml': `a: &a [x]\n${Array.from({ length: 20 }, (_, i) => `b${i}: &b${i} [*${i === 0 ? 'a' : `b${i - 1}`}, *${i === 0 ? 'a' : `b${i - 1}`}]`).join('\n')}\n`,
    'list.yaml': '- 1\n- 2\n',
    'null.json': 'null',
    'junk.hexcairn.json': bytes(500, 5),
    'null.hexcairn.json': 'null',
    'deep.hexcairn.json': '{"a":'.repeat(50_000),
    'half.hexcairn.json': '{"format":"hexcairn-session/1"}',
  }
  for (const [name, content] of Object.entries(files)) writeFileSync(join(folder, name), content)
  mkdirSync(join(folder, 'folder.asm'))
  mkdirSync(join(folder, 'empty'))
  symlinkSync('circle.asm', join(folder, 'circle.asm'))
  const others = ['folder.asm', 'empty', 'circle.asm', 'missing.asm', 'missing/deep.asm', 'good.asm/below']
  const names = [...Object.keys(files), ...others].map((name) => join(folder, name))
  return { folder, names, remove: () => rmSync(folder, { recursive: true, force: true }) }
}

/** Command lines as people, scripts and cats write them. `serve` and `demo` are never right enough to start. */
export function anyWords(folder: string, names: readonly string[]): fc.Arbitrary<string[]> {
  const file = fc.oneof(
    { arbitrary: fc.constantFrom(...names), weight: 12 },
    {
      arbitrary: fc.constantFrom('', '\0', 'x'.repeat(5000), '/dev/null', '/dev/zero', '..', '/', '--', 'A1', 'C1'),
      weight: 2,
    },
  )
  const output = fc.constantFrom(
    ...[
      'out.bin',
      'out.hex',
      'out.txt',
      'out.html',
      'missing/out.bin',
      'empty',
      'good.asm',
      'good.asm/out',
      'circle.asm',
    ].map((name) => join(folder, name)),
    ...['/dev/full', '', '\0', `${folder}/${'y'.repeat(400)}`],
  )
  const number = fc.constantFrom('1', '1000', '0', '-1', '1e9', 'x', '', '99999999999999999999', '0x10', '1_000', 'NaN')
  const options = fc.oneof(
    fc.constantFrom(
      ['--json'],
      ['--listing'],
      ['--answers'],
      ['--staff'],
      ['--nonsense'],
      ['-x'],
      ['--out'],
      ['--help'],
    ),
    fc.tuple(fc.constantFrom('-o', '--out', '--vcd', '--wav', '--steps', '--session'), output),
    fc.tuple(fc.constantFrom('--seed', '--t-states', '--most', '--origin', '--entry', '--port'), number),
    fc.tuple(fc.constant('--board'), fc.oneof(file, fc.constantFrom('bench-8', 'bench-9'))),
    fc.tuple(fc.constant('--ends'), fc.constantFrom('halt', 'return', 'never')),
    fc.tuple(fc.constant('--kind'), fc.constantFrom('keying', 'delay', 'hand-assembly', 'displacement', 'none')),
    fc.tuple(fc.constant('--paper'), fc.constantFrom('A4', 'letter', 'A5')),
  )
  const command = fc.constantFrom(
    ...['grade', 'assemble', 'disassemble', 'run', 'sheet', 'compare', 'diagnose', 'assemble', 'run'],
    ...['probe --most x', 'serve --nonsense', 'demo --nonsense', 'nonsense', ''],
  )
  const isJson = fc.constantFrom([], ['--json'])
  return fc
    .tuple(command, fc.array(file, { maxLength: 3 }), fc.array(options, { maxLength: 3 }), isJson)
    .map(([name, files, some, json]) => [
      ...name.split(' '),
      ...files,
      ...(name === 'run' ? ['--t-states', '20000'] : []),
      ...some.flat(),
      ...json,
    ])
}
