import {workloads,memoryOf,entry} from './workloads.ts'
import {Z80} from 'z80-emulator'
const runs=workloads.map(w=>{
 const init=memoryOf(w,Math.max(1,w.rounds/40|0))
 return ()=>{const mem=init.slice()
  const hal={tStateCount:0,readMemory(a:number){return mem[a]},writeMemory(a:number,v:number){mem[a]=v},contendMemory(){},readPort(){return 0xff},writePort(a:number,v:number){},contendPort(){}}
  const z=new Z80(hal as any);z.reset();z.regs.pc=entry
  const t0=performance.now()
  while(!z.regs.halted)z.step()
  return (performance.now()-t0)/hal.tStateCount
 }})
const only=process.argv[2]
const best=[1e9,1e9,1e9]
for(let i=0;i<3;i++){if(only&&Number(only)!==i)continue;for(let k=0;k<60;k++){const x=runs[i]();if(k>10&&x<best[i])best[i]=x}}
console.log('z80-emulator',best.map(x=>(1/x/1000).toFixed(0)).join(' / '))
