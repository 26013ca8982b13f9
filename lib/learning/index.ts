export * from './learn-errors'
export type { Reading, Slopes, Who } from './reading'
export {
  judgeTest,
  LOOK_LEVEL,
  MOST_MORE,
  type Removed,
  type TestRun,
  type TestVerdict,
} from './test-session/judge-test'
export { leastSquares, type LeastSquares } from './test-session/least-squares'
export { runLap, type RunLap } from './test-session/run-lap'
export { studentT } from './test-session/student-t'
export { nextSide, sideOfRun, type Side } from './test-session/test-order'
