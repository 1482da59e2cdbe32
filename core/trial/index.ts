export { madeProgram } from './made-program.ts'
export { stageOf, usualTime, type Setting, type Stage, type StagedCheck } from './stage.ts'
export { Trial, type Tried, type TrialOptions } from './trial.ts'
export { TrialSearch, type EditedImage } from './trial-search.ts'
