import {Machine} from '../../core/cpu/machine.ts'
import {wasmInterpreter} from '../../core/cpu/generate/wasm.ts'
import {workloads,memoryOf,entry} from './workloads.ts'
const variants=process.argv.slice(2)
const sets=variants.map(v=>{
 const keys=v.split('+').filter(k=>k!=='base')
 for(const k of keys)process.env[k]='1'
 const bytes=wasmInterpreter()
 for(const k of keys)delete process.env[k]
 const mod=new WebAssembly.Module(bytes as any)
 const mk=(host:any)=>{const e:any=new WebAssembly.Instance(mod,{host}).exports;return {bytes:new Uint8Array(e.memory.buffer),run:e.run,accept:()=>{throw 1}}}
 const runs=workloads.map(w=>{
 const init=memoryOf(w,Math.max(1,w.rounds/100|0))
 const bus={readPort:()=>0xff,writePort(p:number,v:number,t:number){},acknowledge:()=>0xff,watchedWrite(){}}
 const cpu:any=new Machine(bus,mk as any)
 return ()=>{
  cpu.memory.set(init);cpu.setRegisters({pc:entry,isHalted:false})
  const t=cpu.tStates
  const t0=performance.now()
  cpu.run(1e12,true)
  return (performance.now()-t0)/(cpu.tStates-t)
 }})
 return {v,size:bytes.length,runs,best:[1e9,1e9,1e9]}
})
import {Z80} from 'z80-emulator'
if(process.env.REF)sets.push({v:'z80-emulator',size:0,best:[1e9,1e9,1e9],runs:workloads.map(w=>{
 const init=memoryOf(w,Math.max(1,w.rounds/100|0))
 return ()=>{const mem=init.slice()
  const hal={tStateCount:0,readMemory(a:number){return mem[a]},writeMemory(a:number,v:number){mem[a]=v},contendMemory(){},readPort(){return 0xff},writePort(a:number,v:number){},contendPort(){}}
  const z=new Z80(hal as any);z.reset();z.regs.pc=entry
  const t0=performance.now()
  while(!z.regs.halted)z.step()
  return (performance.now()-t0)/hal.tStateCount
 }})} as any)
const N=Number(process.env.N??120)
for(let k=0;k<N;k++)for(let i=0;i<3;i++)for(const s of sets){const x=s.runs[i]();if(k>15&&x<s.best[i])s.best[i]=x}
for(const s of sets){const mhz=s.best.map(x=>1/x/1000)
console.log(s.v.padEnd(20),'size',s.size,mhz.map(x=>x.toFixed(0)).join(' / '),'gm',Math.cbrt(mhz[0]*mhz[1]*mhz[2]).toFixed(0))}
