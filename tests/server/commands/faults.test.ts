import fc from 'fast-check'
import { spawnSync } from 'node:child_process'
import { readFileSync } from 'node:fs'
import { join } from 'node:path'
import { afterAll, describe, expect, test } from 'vitest'
import { anyWords, complaint, inProcess, strangeFiles } from './command-cases.ts'
import { hexcairn, root } from './hexcairn.ts'

const { folder, names, remove } = strangeFiles()
afterAll(remove)
const at = (name: string): string => join(folder, name)

describe('a fault is one sentence and exit code 2', () => {
  test.each([
    [['assemble', at('good.asm'), '-o', at('missing/x.bin')], 'cannot be written: its folder does not exist.'],
    [['assemble', at('good.asm'), '-o', at('empty')], 'cannot be written: it is a folder.'],
    [['assemble', at('good.asm'), '-o', at('good.asm')], 'is what is read. Name another file.'],
    [['run', at('good.asm'), '--vcd', at('missing/x.vcd')], 'cannot be written: its folder does not exist.'],
    [['run', at('good.asm'), '--wav', at('good.asm/x.wav')], 'cannot be written: a part of its path is no folder.'],
    [['run', at('good.asm'), '--wav', at('w.out'), '--vcd', at('w.out')], 'is written already. Name another file.'],
    [['sheet', at('good.asm'), '--kind', 'keying', '-o', at('missing/x')], 'cannot be written'],
    [['assemble', at('good.asm'), '-o', '--listing'], '--listing is no file to write: its name is missing'],
    [['run', at('large.bin')], 'has 49153 bytes; from 4000h up to FFFFh there is room for 49152.'],
    [
      ['disassemble', at('larger.bin'), '--origin', '0'],
      'has 70000 bytes; from 0000h up to FFFFh there is room for 65536.',
    ],
    [['assemble', at('huge.asm')], 'has more than 4194304 bytes, the most that is read.'],
    [['assemble', '/dev/zero'], 'has more than 4194304 bytes, the most that is read.'],
    [['assemble', at('folder.asm')], 'is a folder; a file was wanted.'],
    [
      ['run', at('good.asm'), '--t-states', '1e9'],
      "--t-states is '1e9'; a whole number from 1 to 4000000000 was wanted.",
    ],
    [['nonsense'], "unknown command 'nonsense'"],
    [['run', at('good.asm'), '--nonsense'], "unknown option '--nonsense'"],
    [['grade', 'A1'], "missing required argument 'program'"],
    [['run', at('good.asm'), '--vcd'], "option '--vcd <file>' argument missing"],
  ])('%j', async (words, sentence) => {
    const plain = await inProcess(words)
    expect({ code: plain.code, out: plain.out }).toEqual({ code: 2, out: '' })
    expect(plain.err).toMatch(/^hexcairn: [^\n]+\n$/)
    expect(plain.err).toContain(sentence)
    if (words[0] === 'sheet') return
    const json = await inProcess([...words, '--json'])
    if (words.at(-1) === '--vcd') return
    expect({ code: json.code, err: json.err }).toEqual({ code: 2, err: '' })
    expect(JSON.parse(json.out)).toMatchObject({ isOk: false, problem: { message: expect.stringContaining(sentence) } })
  })

  test('a file that is read is still there afterwards', async () => {
    expect((await inProcess(['assemble', at('good.asm'), '-o', `${folder}/./good.asm`])).code).toBe(2)
    expect(readFileSync(at('good.asm'), 'utf8')).toBe(' LD A,5\n HALT\n')
  })

  test.skipIf(process.platform !== 'linux')('a full disk, in a file and on standard output', async () => {
    const { code, err } = await inProcess(['assemble', at('good.asm'), '-o', '/dev/full'])
    expect({ code, err }).toEqual({ code: 2, err: 'hexcairn: /dev/full cannot be written: the disk is full.\n' })
    const shell = `node bin/hexcairn.js assemble "$0" > /dev/full`
    const printed = spawnSync('sh', ['-c', shell, at('good.asm')], { cwd: root, encoding: 'utf8' })
    expect(printed.status).toBe(2)
    expect(printed.stderr).toMatch(/^hexcairn: Standard output cannot be written: [^\n]+\n$/)
  })

  test('a reader that has seen enough is none', () => {
    const shell = `{ node bin/hexcairn.js disassemble "$0" --origin 0; echo "code $?" >&2; } | head -1`
    const { stdout, stderr } = spawnSync('sh', ['-c', shell, at('whole.bin')], { cwd: root, encoding: 'utf8' })
    expect(stdout.trim().split('\n')).toHaveLength(1)
    expect(stderr).toBe('code 0\n')
  })

  test('text on standard input is read to its end, and a megabyte too many is refused', () => {
    expect(hexcairn(['assemble', '-'], `${';'.repeat(200_000)}\n HALT\n`)).toMatchObject({ code: 2 })
    expect(hexcairn(['assemble', '-'], `${'; words\n'.repeat(10_000)} HALT\n`)).toMatchObject({ code: 0 })
  })

  // `tsx tests/benchmarks/command-fuzz.ts --cases 20000 --seed 5` tries more of them.
  test('whatever words and files it is given', async () => {
    await fc.assert(
      fc.asyncProperty(anyWords(folder, names), async (words) => {
        expect(complaint(words, await inProcess(words))).toBeNull()
      }),
      { numRuns: 250, seed: 20 },
    )
  })
})
