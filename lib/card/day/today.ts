import type { BoardView } from '../../board'
import { comingHeats, drawOrder, earlierDraws, type ChargePlanInput } from '../../planner'
import { derived, TURN_MS, workedOut, type Board } from '../../derived'
import { cardTicket, type CardTicket } from '../setup-card/card-ticket'
import { dayDuties, type DayDuties } from '../duties/day-duties'
import { dayForecast, dayQuestion, type DayForecast } from './day-forecast'
import { factsOf, type Fact } from '../staging/facts'
import type { LooseEnd } from '../loose-ends/loose-end'
import { endsOfRun, looseEnds } from '../loose-ends/loose-ends'
import { planInput } from '../plan/plan-input'
import { firstNotDue, meetingDay } from './meeting-day'
import { stampingOf, type Stamping } from './stamping'
import { watchPlan, type PlanWatch } from '../plan/plan-watch'
import { nextRunOf, runsOf, type RunInfo } from './runs'

/** A forecast costs more, and moves less. ms */
const FORECAST_TURN_MS = 10_000

/** Loose ends are told in minutes, and there is one list of them per run. ms */
const ENDS_TURN_MS = 10_000

const questionNow = derived((board: Board) => dayQuestion(board, board.now(FORECAST_TURN_MS)))

/** Draws for so many heats to come take less than a phone's screen can wait, which is 50 ms. */
const SHORT_DAY = 100

/** Drawn anew when the question changes, not when the clock turns. */
const drawnNow = workedOut({
  name: 'draws',
  question: questionNow,
  answer: drawOrder,
  isLong: (question) => comingHeats(question).length > SHORT_DAY,
  meanwhile: (question, last) => earlierDraws(question, last.question, last.answer),
})

/** The running order's forecast as of now. */
export const forecastNow = derived((board: Board): DayForecast =>
  dayForecast(board, board.now(FORECAST_TURN_MS), questionNow(board), drawnNow(board)),
)

/** The team's runs as of now, in the order in which they are expected to start. */
export const runsNow = derived((board: Board): readonly RunInfo[] =>
  runsOf(board, board.now(TURN_MS), forecastNow(board)),
)

export const runNow = derived((board: Board, runId: string): RunInfo | undefined =>
  runsNow(board).find((r) => r.runId === runId),
)

/** The car's next run that has not started, if any. */
export const nextRunNow = derived((board: Board, carId: string): RunInfo | undefined =>
  nextRunOf(runsNow(board), carId),
)

export const factsNow = derived((board: Board, runId: string): readonly Fact[] => {
  const run = runNow(board, runId)
  return run ? factsOf(board, run) : []
})

/** What the overview says of a car, beside its projections. */
export const ticketNow = derived((board: Board, carId: string): CardTicket =>
  cardTicket(board, carId, nextRunNow(board, carId)),
)

export const dutiesNow = derived((board: Board): DayDuties =>
  dayDuties(board, board.now(TURN_MS), forecastNow(board), runsNow(board)),
)

const endsOfRunNow = derived((board: Board, runId: string): readonly LooseEnd[] => {
  const run = runNow(board, runId)
  return run ? endsOfRun(board, run, board.now(ENDS_TURN_MS)) : []
})

/** Everything that would stop or hurt a coming run as of now, most urgent first. */
export const looseEndsNow = derived((board: Board): readonly LooseEnd[] =>
  looseEnds(board, board.now(ENDS_TURN_MS), runsNow(board), dutiesNow(board), (run) =>
    endsOfRunNow(board, run.runId),
  ),
)

/** The plan that people took, held against the board as of now. */
export const planWatchNow = derived((board: Board): PlanWatch =>
  watchPlan(board, runsNow(board), board.now(TURN_MS)),
)

/** Which stamp the day waits for as of now. */
export const stampingNow = derived((board: Board): Stamping => stampingOf(board, board.now(TURN_MS)))

/** Whether the meeting's day is over or not yet here, and when its first heat is as long as that is to come. */
export const dayStateNow = derived((board: Board) => ({
  other: meetingDay(board, board.now(TURN_MS)),
  first: firstNotDue(board, board.now(TURN_MS)),
}))

/** What a charge plan is asked with as of now. */
export const planInputNow = (board: Board): ChargePlanInput =>
  planInput(board, runsNow(board), board.now(TURN_MS))

/** A person by name. */
export const personName = (board: Pick<BoardView, 'people'>, personId: string | null | undefined): string =>
  board.people.get(personId)?.name ?? (personId ? 'somebody' : 'nobody')
