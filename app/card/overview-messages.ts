import type { Projection } from '@/lib/card'
import type { BoardUpdate } from '@/app/sync/board-mirror'

/** A car of the overview, and the run that it is prepared for. */
export interface OverviewCar {
  carId: string
  runId: string | null
}

/** To the overview's worker. It keeps a board of its own: an edit crosses as the few bytes that it is. */
export type OverviewOrder = ({ kind: 'board' } & BoardUpdate) | { kind: 'cars'; cars: readonly OverviewCar[] }

/** A figure as it is shown. */
export type TicketFigure = Pick<Projection, 'id' | 'text' | 'unit' | 'plusMinusText'>

export interface TicketFigures {
  carId: string
  figures: readonly TicketFigure[]
  /**
   * `rough`: the figures are of the card as it stands, their ± is of before the latest change. `stale`: of before the latest change, the next are being
   * worked out. `refused`: so too, and there will be none, because the card can't be projected as it stands.
   */
  state: 'now' | 'rough' | 'stale' | 'refused'
}

/** As JSON: a string crosses at a fraction of what the object costs the screen's thread. */
export const packNews = (news: OverviewNews): string => JSON.stringify(news)
export const readNews = (packed: string): OverviewNews => JSON.parse(packed) as OverviewNews

export interface OverviewNews {
  /** Every card of which something else is to be shown than was told before. */
  tickets: readonly TicketFigures[]
  /** So many cards wait for their figures, and so many for their ± alone. Both 0: all stand as the board does. */
  left: { figures: number; spreads: number }
}
