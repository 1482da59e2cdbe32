export { madeProgram } from './made-program.ts'
export { stageOf, usualTime, type Setting, type Stage, type StagedCheck } from './stage.ts'
export { Trial, type Tried, type TrialOptions } from './trial.ts'
export { late, soon, TrialSearch, type TrialVerdict } from './trial-search.ts'
