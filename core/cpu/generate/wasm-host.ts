import { attribute } from '../cpu.ts'
import { always, layout, traceRecord } from '../layout.ts'
import { Code, type WasmFunction } from './wasm-bytes.ts'
import { alwaysClock } from './wasm-clock.ts'

/** What `Host` is called by, in the order in which the module imports it. */
export const imports = [
  { name: 'input', parameters: 2, results: 1 },
  { name: 'output', parameters: 3, results: 0 },
  { name: 'markedWrite', parameters: 3, results: 0 },
] as const
/**
 * The functions of a module by their place; `callIn`, `callOut` and `marked` stand before the calls of the host. Of the last
 * two each module has one.
 */
export const functionIndex = {
  input: 0,
  output: 1,
  markedWrite: 2,
  callIn: 3,
  callOut: 4,
  marked: 5,
  fast: 6,
  careful: 6,
} as const

/** The first functions of each module behind those of the host. */
export const busCalls = (): readonly WasmFunction[] => [
  { parameters: 4, results: 1, code: callIn() },
  { parameters: 5, results: 0, code: callOut() },
  { parameters: 5, results: 0, code: marked() },
]

/** Notes who calls: parameters `strobe`, `t` and `pc` from `first` on. */
function noteCaller(code: Code, first: number) {
  code
    .constant(0)
    .get(first + 1)
    .access('store', layout.callerT)
  code
    .constant(0)
    .get(first + 2)
    .access('store', layout.callerPc)
}

/** The bus may have asked for attention. */
function heed(code: Code): Code {
  code.constant(0).access('load', layout.attendFrom).constant(always).op('eq').if()
  return code.constant(0).constant64(alwaysClock).access('store64', layout.clock.attendFrom).op('end')
}

function callIn(): Code {
  const code = new Code(4)
  noteCaller(code, 1)
  return heed(code.get(0).get(1).call(functionIndex.input))
}

function callOut(): Code {
  const code = new Code(5)
  noteCaller(code, 2)
  return heed(code.get(0).get(1).get(2).call(functionIndex.output))
}

/** A write that is traced, or to a byte with attributes: here if it has none, else `Host.markedWrite`. */
function marked(): Code {
  const [address, value, strobe] = [0, 1, 2]
  const code = new Code(5)
  const record = code.local()
  const count = code.local()
  const at = code.local()
  code.get(address).access('load8', layout.attributes).constant(~attribute.stopAt).op('and', 'eqz').if()
  code.constant(0).access('load', layout.traceAt).tee(record).get(record).access('load8', traceRecord.writes).tee(count)
  code.constant(2).op('shl', 'add').set(at)
  code.get(at).get(address).access('store16', traceRecord.write)
  code
    .get(at)
    .get(address)
    .access('load8', layout.memory)
    .access('store8', traceRecord.write + 2)
  code
    .get(at)
    .get(value)
    .access('store8', traceRecord.write + 3)
  code.get(record).get(count).constant(1).op('add').access('store8', traceRecord.writes)
  code.get(address).get(value).access('store8', layout.memory)
  code.get(address).constant(8).op('shr_u').constant(1).access('store8', layout.dirty)
  code.op('else')
  noteCaller(code, strobe)
  code.get(address).get(value).get(strobe).call(functionIndex.markedWrite)
  heed(code).op('end')
  return code
}
