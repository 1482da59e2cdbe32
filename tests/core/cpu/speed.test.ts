import { execFileSync } from 'node:child_process'
import { closeSync, mkdtempSync, openSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import ts from 'typescript'
import { expect, test, vi } from 'vitest'
import { functionIndex } from '../../../core/cpu/generate/wasm-host.ts'
import { byteLength, packed } from '../../../core/cpu/generated/wasm.ts'
import { unpack } from '../../../core/cpu/packed.ts'

vi.setConfig({ testTimeout: 120_000 })

const pathOf = (name: string) => fileURLToPath(new URL(`../../../${name}`, import.meta.url))

/** V8 optimises no function with more bytecode than this (its --max-optimized-bytecode-size), and nothing says so. */
const mostBytecode = 60 * 1024

test('V8 can optimise every function of the TypeScript interpreter', () => {
  const source = readFileSync(pathOf('core/cpu/generated/interpreter.ts'), 'utf8')
  const options = { target: ts.ScriptTarget.ES2023, module: ts.ModuleKind.CommonJS }
  const names = [...source.matchAll(/^(?:export )?function (\w+)/gm)].map(([, name = '']) => name)
  const code = ts.transpileModule(source, { compilerOptions: options }).outputText.replace(/^.*require\(.*$/gm, '')
  const folder = mkdtempSync(join(tmpdir(), 'hexcairn-bytecode-'))
  const [script, printed] = [join(folder, 'interpreter.cjs'), join(folder, 'printed')]
  writeFileSync(script, `const attend_1 = {}\n${code}`)
  const sizes = new Map<string, number>()
  for (const filter of ['run', 'accept', 'page_*']) {
    // Never called: --no-lazy compiles them all the same. Into a file, since V8 would take minutes with a pipe.
    const flags = ['--no-lazy', '--print-bytecode', `--print-bytecode-filter=${filter}`]
    const file = openSync(printed, 'w')
    execFileSync(process.execPath, [...flags, script], { stdio: ['ignore', file, 'inherit'] })
    closeSync(file)
    const found = readFileSync(printed, 'utf8').matchAll(/bytecode for function: (\w+) [^[]*?\nBytecode length: (\d+)/g)
    // Node has functions of such names too, far smaller ones.
    for (const [, name = '', length] of found) sizes.set(name, Math.max(sizes.get(name) ?? 0, Number(length)))
  }
  rmSync(folder, { recursive: true })
  expect(names).toContain('run')
  for (const name of names) {
    expect(sizes.get(name), `bytecode of ${name}`).toBeGreaterThan(300)
    expect(sizes.get(name), `bytecode of ${name}`).toBeLessThan(mostBytecode)
  }
})

/** With more machine code V8 (of Node 20) keeps PC and clock in memory: 83 KB were well, 84 KB a fifth slower. */
const mostMachineCode = 80_000

test('V8 can keep the registers of the WebAssembly interpreter in those of the host', () => {
  const folder = mkdtempSync(join(tmpdir(), 'hexcairn-machine-code-'))
  const [module, script] = [join(folder, 'interpreter.wasm'), join(folder, 'run.mjs')]
  writeFileSync(module, unpack(packed, byteLength))
  writeFileSync(
    script,
    `import { readFileSync } from 'node:fs'
    const host = { input() {}, output() {}, markedWrite() {} }
    const module = new WebAssembly.Module(readFileSync(${JSON.stringify(module)}))
    new WebAssembly.Instance(module, { host }).exports.run(0)`,
  )
  const flags = ['--no-liftoff', '--no-wasm-tier-up', '--trace-wasm-compilation-times']
  const printed = execFileSync(process.execPath, [...flags, script], { encoding: 'utf8' })
  rmSync(folder, { recursive: true })
  // Node has modules of its own with a function of that number, far smaller ones.
  const sizes = [...printed.matchAll(new RegExp(`#${functionIndex.fast} using TurboFan.* codesize (\\d+)`, 'g'))]
  const size = Math.max(...sizes.map(([, size]) => Number(size)))
  expect(size).toBeGreaterThan(40_000)
  expect(size).toBeLessThan(mostMachineCode)
})

test('a second machine in the same process is as fast as the first', () => {
  const script = pathOf('tests/benchmarks/second-machine.ts')
  const printed = execFileSync(process.execPath, ['--import', 'tsx', script], { encoding: 'utf8' })
  const { webAssembly, typescript } = JSON.parse(printed) as Record<string, number>
  expect(webAssembly).toBeLessThan(1.1)
  expect(typescript).toBeLessThan(1.1)
})
