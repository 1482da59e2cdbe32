/** Keeps the direction of imports (DEVELOPERS.md "Arrows"). Prints every edge that is not allowed and exits 1. */
import { existsSync, readdirSync, readFileSync } from 'node:fs'
import { dirname, join, relative, resolve, sep } from 'node:path'

const root = resolve(import.meta.dirname, '..')

/** Folder → the folders whose `index.ts` it may import. Inside one folder anything goes. */
const allowed: Record<string, readonly string[]> = {
  'core/cpu': [],
  'core/image': ['core/cpu'],
  'core/disassembler': ['core/cpu', 'core/image'],
  'core/assembler': ['core/cpu', 'core/image', 'core/disassembler'],
  'core/board': ['core/cpu', 'core/image', 'core/assembler'],
  'core/run': ['core/cpu', 'core/image', 'core/board'],
  'core/sheets': ['core/cpu', 'core/image', 'core/assembler', 'core/disassembler', 'core/board'],
  'core/exercise': ['core/cpu', 'core/image', 'core/assembler', 'core/board', 'core/run'],
  'core/edits': ['core/cpu', 'core/image', 'core/assembler', 'core/disassembler'],
  'core/trial': ['core/cpu', 'core/image', 'core/assembler', 'core/board', 'core/run', 'core/exercise'],
  'core/grading': [
    ...['core/cpu', 'core/image', 'core/assembler', 'core/board', 'core/run'],
    ...['core/exercise', 'core/edits', 'core/trial'],
  ],
  'core/diagnosis': [
    ...['core/cpu', 'core/image', 'core/assembler', 'core/disassembler', 'core/board', 'core/run'],
    ...['core/exercise', 'core/edits', 'core/trial', 'core/grading'],
  ],
  'core/exports': ['core/cpu', 'core/image', 'core/assembler', 'core/disassembler', 'core/board', 'core/run'],
}

/** Edges that break the rule today. This list may only shrink. */
const debt: readonly string[] = []

function filesBelow(folder: string): string[] {
  if (!existsSync(folder)) return []
  return readdirSync(folder, { withFileTypes: true, recursive: true })
    .filter((entry) => entry.isFile() && /\.(ts|svelte)$/.test(entry.name))
    .map((entry) => join(entry.parentPath, entry.name))
    .filter((file) => !file.includes(`${sep}generated${sep}`))
}

function subjectOf(file: string): string {
  const parts = relative(root, file).split(sep)
  return parts[0] === 'core' && parts.length > 2 ? `core/${parts[1]}` : (parts[0] ?? '')
}

const wrong: string[] = []
let edges = 0
for (const file of ['core', 'server', 'web'].flatMap((folder) => filesBelow(join(root, folder)))) {
  const from = subjectOf(file)
  const name = relative(root, file)
  const text = readFileSync(file, 'utf8')
  for (const match of text.matchAll(
    /(?:import|export)\s+(type\s+)?[^'"`;]*?from\s+'([^']+)'|import\(\s*'([^']+)'\s*\)/g,
  )) {
    const target = match[2] ?? match[3] ?? ''
    const isTypeOnly = match[1] !== undefined
    edges += 1
    if (!target.startsWith('.')) {
      if (from.startsWith('core')) wrong.push(`${name}: core imports no package, found '${target}'`)
      continue
    }
    const path = resolve(dirname(file), target.replace(/\?.*$/, ''))
    const to = subjectOf(path)
    if (to === from) continue
    if (from.startsWith('core')) {
      if (!to.startsWith('core')) wrong.push(`${name}: core imports nothing outside core, found '${target}'`)
      else if (from !== 'core' && !(allowed[from] ?? []).includes(to))
        wrong.push(`${name}: ${from} may not import ${to}`)
      else if (!/\/index\.ts$/.test(path)) wrong.push(`${name}: import ${to}/index.ts, not '${target}'`)
    } else if (to.startsWith('core')) {
      if (!/\/index\.ts$/.test(path)) wrong.push(`${name}: import ${to}/index.ts, not '${target}'`)
    } else if (from === 'web' && to === 'server') {
      if (!isTypeOnly || !relative(root, path).startsWith(join('server', 'contract')))
        wrong.push(`${name}: web may import only types, and only from server/contract, found '${target}'`)
    } else if (from === 'server' && to === 'web') wrong.push(`${name}: server may not import web`)
  }
}

const open = wrong.filter((line) => !debt.includes(line))
const paid = debt.filter((line) => !wrong.includes(line))
for (const line of open) console.error(line)
for (const line of paid) console.error(`paid, take it off the debt list: ${line}`)
console.log(`imports: ${edges} edges, ${open.length} wrong`)
process.exitCode = open.length + paid.length > 0 ? 1 : 0
