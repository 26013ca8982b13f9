import { DEMO_PEOPLE, DEMO_ROSTER } from '@/demo/roster'
import { runEdit, type EditContext } from '@/lib/board'
import {
  heatTitleText,
  importRunningOrder,
  NO_CHOICES,
  planImport,
  type ImportChoices,
  type OrderChange,
  type RunningOrder,
} from '@/lib/running-order'
import { ok } from '@/lib/core/result'
import { testBoard } from './board'
import { demoFile, readFile, shownAt, valueOf } from './running-order'

/** A meeting with the team's people and cars and both classes, and nothing listed yet. */
export function meetingBoard() {
  const board = testBoard()
  const m = board.as('manager', 'petra-amsel')
  valueOf(
    runEdit(m, 'kit', (w) => {
      for (const p of DEMO_PEOPLE) w.kit('people', p.id, { name: p.name })
      for (const r of DEMO_ROSTER)
        w.kit('cars', r.carId, {
          name: r.car,
          driverId: r.driverId,
          drive: r.class === '4WD Modified' ? '4wd' : '2wd',
          carNumber: r.carNumber,
          transponder: r.transponder,
        })
      w.meeting('classes', 'mod-2wd', { name: '2WD Modified', drive: '2wd' })
      w.meeting('classes', 'mod-4wd', { name: '4WD Modified', drive: '4wd' })
      return ok(undefined)
    }),
  )
  return { ...board, m }
}
export type Board = ReturnType<typeof meetingBoard>

/** Plan an import and carry it out as it was shown. */
export const bring = (
  board: Board,
  order: RunningOrder,
  choices: ImportChoices = NO_CHOICES,
  ctx: EditContext = board.m,
) => {
  const shown = planImport(board.view(), order, choices)
  return { shown, result: importRunningOrder(ctx, board.view(), { order, choices, shown }) }
}
/** The order of a file of the demo. */
export const demo = (name: string) => readFile(demoFile(name)).order
/** A change in a line of its own. */
export const describe = (c: OrderChange): string => {
  switch (c.kind) {
    case 'class-added':
    case 'round-added':
      return `${c.kind} ${c.name}`
    case 'time-moved':
      return `${heatTitleText(c.heat)}: ${shownAt(c.from)} to ${shownAt(c.to)}`
    case 'entry-moved':
      return `${c.driver}: ${heatTitleText(c.from)} to ${heatTitleText(c.heat)}`
    case 'entry-changed':
      return `${c.driver}, ${heatTitleText(c.heat)}: ${c.what} ${c.from} to ${c.to}`
    case 'heats-swapped':
      return `${heatTitleText(c.heat)} and ${heatTitleText(c.other)} swapped`
    case 'heat-added':
    case 'heat-returned':
      return `${c.kind} ${heatTitleText(c.heat)}`
    case 'heat-dropped':
      return `${c.kind} ${heatTitleText(c.heat)} (${c.entries}) ${c.held.join('; ')}`.trim()
    case 'heat-kept':
      return `${c.kind} ${heatTitleText(c.heat)}: ${c.why}`
    case 'entry-removed':
      return `${c.kind} ${c.driver}, ${heatTitleText(c.heat)} ${c.held.join('; ')}`.trim()
    case 'entry-kept':
      return `${c.kind} ${c.driver}, ${heatTitleText(c.heat)}: ${c.why}`
    default:
      return `${c.kind} ${c.driver}, ${heatTitleText(c.heat)}`
  }
}
/** A car's run of a round. */
export const runOf = (board: Board, round: string, carId: string) => {
  const view = board.view()
  const roundId = view.rounds.live.find((r) => r.name === round)!.id
  return view.entries.live.find((e) => e.carId === carId && view.heats.get(e.heatId)?.roundId === roundId)!
}
