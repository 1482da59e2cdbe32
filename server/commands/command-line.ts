import { Command, CommanderError, InvalidArgumentError } from 'commander'
import { version } from '../version.ts'
import type { GradeOptions } from './grade.ts'
import { faultOf, type Fault } from './fault.ts'
import { printJson } from './output.ts'
import type { RunOptions } from './run.ts'

/**
 * Runs one command and gives the exit code of the process: what the command says, 2 for every fault. A fault is one sentence
 * on standard error, or with `--json` one document on standard output. Nothing is thrown.
 */
export async function commandLine(words: readonly string[]): Promise<number> {
  let code = 0
  try {
    const program = commands((given) => {
      code = given
    })
    await program.parseAsync(words, { from: 'user' })
    return code
  } catch (error) {
    if (error instanceof CommanderError && (error.exitCode === 0 || error.code === 'commander.help'))
      return error.exitCode === 0 ? 0 : 2
    tell(faultOf(error), words.includes('--json'))
    return 2
  }
}

function tell({ code, message, details }: Fault, isJson: boolean): void {
  if (isJson) printJson({ isOk: false, problem: { code, message, ...details } })
  else process.stderr.write(`hexcairn: ${message}\n`)
}

function commands(ends: (code: number) => void): Command {
  const program = new Command('hexcairn')
    .description('Grade machine code for Z80 trainer boards, on the command line or for a whole class.')
    .version(version, '-V, --version', 'print the version')
    .helpOption('-h, --help', 'print this help')
    .configureOutput({ outputError: () => undefined })
    .exitOverride()

  const board = ['--board <id>', 'board by id, or the file of a profile', 'bench-8'] as const
  const json = ['--json', 'print one JSON document on standard output and nothing else'] as const

  program
    .command('grade')
    .description('grade a program; exit code 0 for full marks, 1 for less, 2 for input that cannot be used')
    .argument('<exercise>', 'an exercise.yaml, its folder, or the name of a demo exercise')
    .argument('<program>', 'hex dump, Intel HEX, assembly (.asm) or binary (.bin); - is standard input')
    .option('--seed <n>', 'the student’s seed, which decides the constants of the exercise (default 0)')
    .option('--staff', 'an answer of your own: the names of constants drawn for each student stand for their values')
    .option(...json)
    .action(async (exercise: string, file: string, options: GradeOptions) => {
      const { gradeCommand } = await import('./grade.ts')
      ends(gradeCommand(exercise, file, options))
    })

  program
    .command('assemble')
    .description('assemble a source text')
    .argument('<file>', 'assembly; - is standard input')
    .option('--listing', 'print address, bytes, T-states, line and symbols')
    .option('-o, --out <file>', 'write the bytes: .hex Intel HEX, .bin binary, else a hex dump')
    .option(...board)
    .option(...json)
    .action(async (file: string, options: { listing?: boolean; out?: string; board: string; json?: boolean }) => {
      const { assembleCommand } = await import('./assemble.ts')
      ends(assembleCommand(file, options))
    })

  program
    .command('disassemble')
    .description('bytes back to a text that assembles to the same bytes')
    .argument('<file>', 'hex dump, Intel HEX or binary (.bin); - is standard input')
    .option('--origin <hex>', 'where bytes without addresses stand')
    .option('--entry <hex>', 'where execution starts')
    .option(...board)
    .option(...json)
    .action(async (file: string, options: { origin?: string; entry?: string; board: string; json?: boolean }) => {
      const { disassembleCommand } = await import('./disassemble.ts')
      ends(disassembleCommand(file, options))
    })

  program
    .command('run')
    .description('run a program on a board and say what its digits, speaker and registers did')
    .argument(
      '<program>',
      'hex dump, Intel HEX, assembly (.asm), binary (.bin) or session (.hexcairn.json); - is standard input',
    )
    .option('--t-states <n>', 'stop after so many T-states (default 40,000,000)')
    .option('--ends <how>', 'the program ends with halt or return', howItEnds, 'halt')
    .option('--exercise <exercise>', 'run it as a case of this exercise is graded')
    .option('--case <id>', 'which case; not needed where there is one')
    .option('--seed <n>', 'the student’s seed, which decides the constants of the exercise (default 0)')
    .option('--start <n>', 'which values stand in registers and memory that nothing sets, as a report names it')
    .option('--vcd <file>', 'write the lanes as a value change dump (IEEE 1364)')
    .option('--wav <file>', 'write what the speaker played as WAV')
    .option('--steps <file>', 'write every step with its registers as CSV')
    .option('--session <file>', 'write program and inputs as one file that opens on any Hexcairn')
    .option(...board)
    .option(...json)
    .action(async (file: string, options: RunOptions) => {
      const { runCommand } = await import('./run.ts')
      ends(runCommand(file, options))
    })

  program
    .command('sheet')
    .description('a sheet to work with away from the screen; a file ending in .html is a page to print')
    .argument('<program>', 'hex dump, Intel HEX, assembly (.asm) or binary (.bin); - is standard input')
    .requiredOption('--kind <kind>', 'keying, hand-assembly, displacement or delay')
    .option('--answers', 'filled in')
    .option('--paper <size>', 'A4 or Letter', 'A4')
    .option('-o, --out <file>', 'write to a file')
    .option(...board)
    .action(
      async (
        file: string,
        options: { kind: string; answers?: boolean; paper: string; out?: string; board: string },
      ) => {
        const { sheetCommand } = await import('./sheet.ts')
        ends(sheetCommand(file, options))
      },
    )

  program
    .command('compare')
    .description(
      'compare a memory dump from a real board with the program; exit code 0 alike, 1 different, 2 unreadable',
    )
    .argument('<program>', 'what should stand there')
    .argument('<dump>', 'what was read back, as a hex dump; - is standard input')
    .option(...board)
    .option(...json)
    .action(async (file: string, dump: string, options: { board: string; json?: boolean }) => {
      const { compareCommand } = await import('./compare.ts')
      ends(compareCommand(file, dump, options))
    })

  program
    .command('diagnose')
    .description(
      'say why a program fails an exercise: causes, the edit that would mend it, the smallest input that fails',
    )
    .argument('<exercise>', 'an exercise.yaml, its folder, or the name of a demo exercise')
    .argument('<program>', 'hex dump, Intel HEX, assembly (.asm) or binary (.bin); - is standard input')
    .option('--seed <n>', 'the student’s seed, which decides the constants of the exercise (default 0)')
    .option(...json)
    .action(async (exercise: string, file: string, options: { json?: boolean; seed?: string }) => {
      const { diagnoseCommand } = await import('./diagnose.ts')
      ends(diagnoseCommand(exercise, file, options))
    })

  program
    .command('probe')
    .description(
      'change the model answer in many small ways and tell which changes no check notices; exit code 0 from 98 %',
    )
    .argument('<exercise>', 'an exercise.yaml, its folder, or the name of a demo exercise')
    .option('--seed <n>', 'decides which changes are tried where there are too many, and further inputs (default 0)')
    .option('--most <n>', 'try at most so many changes')
    .option(...json)
    .action(async (exercise: string, options: { json?: boolean; seed?: string; most?: string }) => {
      const { probeCommand } = await import('./probe.ts')
      ends(probeCommand(exercise, options))
    })

  program
    .command('grade-again')
    .description('put hand-ins on which the grader failed back into the queue, in the database of a server')
    .argument('[id...]', 'ids of hand-ins, as in the address of their page')
    .option('--all', 'every one on which the grader failed')
    .option('--data <folder>', 'folder of the embedded database (without DATABASE_URL), of a server that is stopped')
    .action(async (ids: string[], options: { all?: boolean; data?: string }) => {
      const { gradeAgainCommand } = await import('./grade-again.ts')
      ends(await gradeAgainCommand(ids, options))
    })

  const data = ['--data <folder>', 'folder of the embedded database (without DATABASE_URL)'] as const

  program
    .command('backup')
    .description('everything in the database as one file, of a server that runs or is stopped')
    .argument('<file>', 'a new file; - is standard output')
    .option(...data)
    .option(...json)
    .action(async (file: string, options: { data?: string; json?: boolean }) => {
      const { backupCommand } = await import('./backup.ts')
      ends(await backupCommand(file, options))
    })

  program
    .command('restore')
    .description('a backup into an empty folder or database')
    .argument('<file>', 'what hexcairn backup wrote; - is standard input')
    .option('--check', 'only read the file, and hold each table against its count and digest')
    .option(...data)
    .option(...json)
    .action(async (file: string, options: { data?: string; check?: boolean; json?: boolean }) => {
      const { restoreCommand } = await import('./restore.ts')
      ends(await restoreCommand(file, options))
    })

  program
    .command('move')
    .description('everything from the folder to the PostgreSQL database of DATABASE_URL, or back')
    .argument('<destination>', 'postgresql, or folder')
    .option('--data <folder>', 'folder of the embedded database')
    .option(...json)
    .action(async (destination: string, options: { data?: string; json?: boolean }) => {
      const { moveCommand } = await import('./move.ts')
      ends(await moveCommand(destination, options))
    })

  program
    .command('migrate')
    .description('bring the tables of a database to this version, without serving')
    .option('--server-user <name>', 'user of the PostgreSQL server who then may work with the tables, and no more')
    .option(...data)
    .option(...json)
    .action(async (options: { data?: string; serverUser?: string; json?: boolean }) => {
      const { migrateCommand } = await import('./migrate.ts')
      ends(await migrateCommand(options))
    })

  program
    .command('password-link')
    .description('make a link by which somebody sets a new password, once, within a day')
    .argument('<name>', 'user name of the account')
    .option('--data <folder>', 'folder of the embedded database (without DATABASE_URL), of a server that is stopped')
    .action(async (name: string, options: { data?: string }) => {
      const { passwordLinkCommand } = await import('./password-link.ts')
      ends(await passwordLinkCommand(name, options))
    })

  program
    .command('demo')
    .description('a demo course with an instructor, an assistant and a class, graded while you watch')
    .option('--port <n>', 'port to listen on (default 8080)')
    .option('--host <address>', 'address to listen on (default 127.0.0.1)')
    .action(async (options: { port?: string; host?: string }) => {
      const { demo } = await import('./demo.ts')
      ends(await demo(options))
    })

  program
    .command('serve')
    .description('the course platform; the first start prints a one-time link to set up its first account')
    .option('--port <n>', 'port to listen on (default 8080)')
    .option('--host <address>', 'address to listen on (default 127.0.0.1)')
    .option('--data <folder>', 'folder of the embedded database (without DATABASE_URL)')
    .option('--role <role>', 'web, grader or all (default all)')
    .option('--graders <n>', 'grading threads in this process')
    .action(async (options: { port?: string; host?: string; data?: string; role?: string; graders?: string }) => {
      const { serve } = await import('./serve.ts')
      ends(await serve(options))
    })

  return program
}

function howItEnds(text: string): 'halt' | 'return' {
  if (text === 'halt' || text === 'return') return text
  throw new InvalidArgumentError(`'${text}' was found; halt or return was wanted.`)
}
