import {
  AppRouterContext,
  type AppRouterInstance,
} from 'next/dist/shared/lib/app-router-context.shared-runtime'
import { createElement, type ReactNode } from 'react'
import { renderToStaticMarkup } from 'react-dom/server'
import { expect, test } from 'vitest'
import { answerSeason } from '@/app/season/season-answer'
import { SeasonFilters } from '@/app/season/season-filters'
import { SeasonGroupsPart } from '@/app/season/season-groups-part'
import { NOTHING_SEEN } from '@/app/season/season-look'
import type { SeasonMeeting, SeasonQuestion } from '@/app/season/season-messages'
import { SeasonPairPart } from '@/app/season/season-pair-part'
import { SeasonRunsPart } from '@/app/season/season-runs-part'
import { SeasonStateNote } from '@/app/season/season-state-note'
import { seasonWords } from '@/app/season/season-words'
import { ToastRoot } from '@/app/ui/toasts'
import { BoardReading } from '@/lib/board'
import { runTexts, SeasonIndex, seasonRuns, valueTexts } from '@/lib/season'
import { meetingIdOf, seasonKit, seasonMeeting, type SeasonSize } from '../../support/season-docs'

const SIZE: SeasonSize = { cars: 4, packs: 6, tracks: 2, meetings: 3, runs: 24 }
const kitDoc = seasonKit(SIZE)
const kit = new BoardReading({ kit: kitDoc, meeting: null }).view()
const index = new SeasonIndex(runTexts(kit, seasonWords), valueTexts(kit, seasonWords))
for (let n = 0; n < SIZE.meetings; n++) {
  const view = new BoardReading({ kit: kitDoc, meeting: seasonMeeting(SIZE, n) }).view()
  index.setMeeting(meetingIdOf(n), seasonRuns(kit, view, meetingIdOf(n)))
}
const asked = (part: Partial<SeasonQuestion> = {}) => {
  const question: SeasonQuestion = {
    filter: {},
    search: '',
    side: 'car',
    most: 40,
    pair: [null, null],
    ...part,
  }
  return { question, answer: answerSeason(index, kit, question, () => 0), set: () => undefined }
}
/** On a page that leads nowhere. */
const htmlOf = (part: ReactNode): string =>
  renderToStaticMarkup(
    createElement(
      AppRouterContext.Provider,
      { value: {} as AppRouterInstance },
      createElement(ToastRoot, null, part),
    ),
  )
/** What is read, without marks. */
const textOf = (part: ReactNode): string =>
  htmlOf(part)
    .replace(/<[^>]+>/g, ' ')
    .replace(/\s+/g, ' ')

test('the table names every run with what came of it, and leads to its debrief', () => {
  const props = asked()
  const html = htmlOf(createElement(SeasonRunsPart, props))
  expect(html.match(/<tr>/g)).toHaveLength(25)
  const [row] = props.answer.rows
  expect(html).toContain(`href="/board/${row!.meetingId}/debrief/${row!.runId}"`)
  expect(textOf(createElement(SeasonRunsPart, props))).toContain('24 runs')
})

test('a find shows what was found, in heavy type', () => {
  const props = asked({ search: 'bring water' })
  const html = htmlOf(createElement(SeasonRunsPart, props))
  expect(html).toContain('<b>Bring</b> <b>water,</b>')
  expect(textOf(createElement(SeasonRunsPart, asked({ search: 'nobody wrote this' })))).toContain(
    'No run has all of that',
  )
})

test('groups, filters and a pair say what they have', () => {
  expect(textOf(createElement(SeasonGroupsPart, asked({ side: 'track' })))).toMatch(
    /Track 01 .*16 2 meetings/,
  )
  expect(textOf(createElement(SeasonFilters, asked({ filter: { car: 'car1' } })))).toContain('Filter: Car 02')
  expect(textOf(createElement(SeasonPairPart, asked())).trim()).toBe('')
  const keys = [`${meetingIdOf(0)}/run0`, `${meetingIdOf(1)}/run1`] as const
  expect(textOf(createElement(SeasonPairPart, asked({ pair: [keys[0], null] })))).toContain('A is Car 01')
  const both = textOf(createElement(SeasonPairPart, asked({ pair: keys })))
  expect(both).toContain('What differed in the car')
  expect(both).toContain('They ran on different tracks')
  expect(both).toMatch(/Tires T01 T02/)
})

test('a part that rests on a part of the season says what is missing: on its way with network, and not before it without', () => {
  const meeting = { name: 'Marlpit Open' } as SeasonMeeting
  const said = (away: readonly SeasonMeeting[], isOnline: boolean) =>
    textOf(
      createElement(SeasonStateNote, {
        looked: { ...NOTHING_SEEN, isRead: true, away, isOnline, trouble: null },
      }),
    )
  expect(said([meeting, meeting], true)).toContain('2 meetings are still loading')
  expect(said([meeting], true)).toContain('Marlpit Open is still loading')
  expect(said([meeting], false)).toContain('Marlpit Open is not on this phone yet: it is missing here until')
  expect(said([meeting, meeting], false)).toContain('2 meetings are not on this phone yet')
  expect(said([], false)).not.toMatch(/meeting/)
})
