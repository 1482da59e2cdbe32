export { hintOf } from './nearest/hint.ts'
export { nearestPassing, type NearestOptions, type NearestPassing } from './nearest/nearest-passing.ts'
export type { Repair, RepairKind } from './nearest/repair.ts'
export { probe, type ProbeOptions, type ProbeProgress } from './probe/probe.ts'
export type { CheckRow, KindRow, MutantCount, ProbeResult, Survivor } from './probe/probe-result.ts'
export type { MutantKind } from './probe/mutants.ts'
export { strategyKinds, type StrategyKind } from './probe/strategies/strategy.ts'
export type {
  StrategyCount,
  StrategyResult,
  StrategyRow,
  SurvivingStrategy,
} from './probe/strategies/strategy-result.ts'
export type { Suggestion } from './probe/suggestion.ts'
export { counterexample, type Counterexample, type CounterexampleOptions } from './counterexample/counterexample.ts'
export type { Cause, ConceptCard } from './causes/cause.ts'
export { causeIds, type CauseId } from './causes/cause-ids.ts'
export type { FlagName, Why, WhyFact, WhyNever, WhyPart, WhySource, WhyTarget, WhyTurn } from './slice/why.ts'
export type { Comparison, Difference, LockedPair, ObservedEvent, Place, PlacedEvent } from './comparison/difference.ts'
export { whyValue, type WhyOptions } from './slice/why-value.ts'
export { whyNever } from './slice/why-never.ts'
export {
  whyCheck,
  whyFailed,
  type CheckAnswer,
  type CheckContext,
  type CheckQuestion,
} from './slice/check-questions.ts'
export { diagnose, type DiagnosedRepair, type Diagnosis, type DiagnoseOptions } from './diagnose.ts'
export { compareRuns } from './comparison/compare-runs.ts'
export { openingPlace, type OpeningPlace } from './comparison/opening-place.ts'
export { comparisonOptions, type AddressSpan, type CompareOptions } from './comparison/options.ts'
export type { ComparedRun } from './comparison/observe.ts'
export { conceptCards } from './causes/concept-cards.ts'
export { detectors } from './causes/detectors.ts'
export type { Detector } from './causes/detector.ts'
export { cardText, feedbackCatalogue } from './feedback/feedback-catalogue.ts'
export { feedbackFor, mergedFeedback, type FeedbackRequest, type ToldDiagnosis } from './feedback/feedback-for.ts'
export type { CataloguedMessage, FeedbackMessage } from './feedback/feedback-message.ts'
export { feedbackProblems } from './feedback/feedback-problems.ts'
export { draftExercise, proposeChecks } from './proposal/draft-exercise.ts'
export type { Draft, ExerciseDraft, ModelRun, Plain, Proposal, ProposeOptions } from './proposal/proposal.ts'
export type { AwaitedInput } from './proposal/awaited-inputs.ts'
export type { Ending } from './proposal/ending.ts'
