import { readFileSync } from 'node:fs'
import type { EditContext } from '@/lib/board'
import { AS_FOUND, importList, planList, readList, type ListChoices, type ListSettings } from '@/lib/results'
import { decodeText } from '@/lib/tables'
import { must } from './must'
import { bring, demo, meetingBoard, type Board } from './running-order-board'

export const resultFile = (name: string): string =>
  must(decodeText(readFileSync(new URL(`../../demo/results/${name}`, import.meta.url)))).text

/** The demo team's meeting with its whole running order. */
export function raceMeeting(): Board {
  const board = meetingBoard()
  must(bring(board, demo('saltmarsh-semicolons.csv')).result)
  return board
}

export const heatOf = (board: Board, round: string, number: number) => {
  const view = board.view()
  const roundId = view.rounds.live.find((r) => r.name === round)?.id
  const heat = view.heats.live.find((h) => h.roundId === roundId && h.number === number)
  if (!heat) throw new Error(`no heat ${number} in ${round}`)
  return heat
}

/** What a racer of a heat has on the board. */
export function onBoard(board: Board, round: string, number: number, who: string) {
  const view = board.view()
  const heat = heatOf(board, round, number)
  const entry = view.entries.live.find(
    (e) => e.heatId === heat.id && [e.driverName, e.carNumber, e.transponder].includes(who),
  )
  return view.runs.get(entry?.id)
}

export const firstRound = (board: Board, number?: number): ListChoices => ({
  heatId: number === undefined ? null : heatOf(board, 'Qualifying 1', number).id,
  roundId: board.view().rounds.live.find((r) => r.name === 'Qualifying 1')?.id ?? null,
  leaveOutBad: false,
})

/** Read, plan and import a list as a person does who confirms what is shown. */
export function importText(
  board: Board,
  text: string,
  choices: ListChoices,
  { settings = AS_FOUND, ctx = board.m }: { settings?: ListSettings; ctx?: EditContext } = {},
) {
  const understood = must(readList(text, settings))
  const plan = planList(board.view(), understood.list, choices)
  const done = importList(ctx, board.view(), { list: understood.list, choices, shown: plan })
  return { understood, plan, done }
}
