import {Machine} from '/work/main/core/cpu/machine.ts'
import {typescriptEngine} from '/work/main/core/cpu/create-cpu.ts'
import {wasmEngine} from '/work/main/core/cpu/wasm-engine.ts'
import {workloads,memoryOf,fnv,fnvStart,hashOf,entry} from '/work/main/tests/benchmarks/workloads.ts'
import {Z80} from 'z80-emulator'
const core=process.argv[2]; const warm=Number(process.argv[3]??3), scale=Number(process.argv[4]??1), only=process.argv[5]
const cpuMs=()=>{const u=process.cpuUsage();return u.user/1000}
for(const w of workloads){ if(only&&w.name!==only)continue
 let res:any
 const runOnce=(rounds:number)=>{
 let h=fnvStart,lastT=0,n=0
 const out=(p:number,v:number,t:number)=>{n++;h=fnv(h,p);h=fnv(h,v);const d=lastT?t-lastT:0;h=fnv(h,d);h=fnv(h,d>>8);h=fnv(h,d>>16);lastT=t}
 if(core==='z80-emulator'){
  const mem=memoryOf(w,rounds)
  const hal={tStateCount:0,readMemory(a:number){return mem[a]},writeMemory(a:number,v:number){mem[a]=v},contendMemory(){},readPort(){return 0xff},writePort(a:number,v:number){out(a&255,v,hal.tStateCount)},contendPort(){}}
  const z=new Z80(hal as any);z.reset();z.regs.pc=entry
  const c0=cpuMs(),t0=performance.now()
  while(!z.regs.halted)z.step()
  const ms=performance.now()-t0
  return {t:hal.tStateCount,mem:hashOf(mem),h:h>>>0,n,ms,cpu:cpuMs()-c0}
 } else {
  const bus={readPort:()=>0xff,writePort(p:number,v:number,t:number){out(p&255,v,t)},acknowledge:()=>0xff,watchedWrite(){}}
  const cpu:any=new Machine(bus,core==='ts'?typescriptEngine:wasmEngine as any)
  cpu.memory.set(memoryOf(w,rounds));cpu.setRegisters({pc:entry});
  if(process.env.TRACE)cpu.setTracing(true)
  const c0=cpuMs(),t0=performance.now()
  cpu.run(1e12,true)
  const ms=performance.now()-t0
  return {t:cpu.tStates,mem:hashOf(cpu.memory),h:h>>>0,n,ms,cpu:cpuMs()-c0,steps:cpu.steps}
 }}
 const rounds=Math.ceil(w.rounds*scale)
 for(let k=0;k<warm;k++)runOnce(Math.ceil(rounds))
 let best=Infinity,t=0
 for(let k=0;k<40;k++){const r=runOnce(Math.max(1,Math.ceil(rounds/10)));if(r.ms/r.t<best)best=r.ms/r.t}
 console.log(core,w.name,'MHz min wall',(1/best/1000).toFixed(0))
}
