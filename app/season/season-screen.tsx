'use client'
import { useDeferredValue } from 'react'
import { useDerived, useSyncPart } from '@/app/sync'
import { Button, Empty, LinkButton, Loading, Note } from '@/app/ui'
import { ThreadNote } from '@/app/threads/thread-note'
import type { SeasonAnswer, SeasonMeeting } from './season-messages'
import { SeasonFilters } from './season-filters'
import { SeasonGroupsPart } from './season-groups-part'
import { SeasonMeetingsPart } from './season-meetings-part'
import { SeasonPairPart } from './season-pair-part'
import { SeasonRunsPart } from './season-runs-part'
import { useSeason } from './use-season'
import './season.css'

/** Every run of every meeting: found, filtered, grouped, and any two beside each other. */
export function SeasonScreen() {
  const { question, set, desk, state } = useSeason()
  const isOnline = useSyncPart((s) => s.online)
  const hasMeetings = useDerived((board) => board.meetings.live.length > 0)
  const { meetings, answer, trouble, isDown } = state
  // After another question what is in sight comes first. An answer told anew, or with more rows, leaves what is there as it is.
  const subject = subjectOf(answer)
  const isWhole = useDeferredValue(subject) === subject
  if (!hasMeetings)
    return (
      <div className="page page-narrow">
        <Empty title="No meeting yet" level={1} acts={<LinkButton href="/">Meetings</LinkButton>}>
          <p>The season is made of your meetings. Runs show up here once they have begun.</p>
        </Empty>
      </div>
    )
  if (isDown)
    return (
      <div className="page page-narrow">
        <h1>Season</h1>
        <ThreadNote why={trouble ?? 'The calculation stopped.'} retry={desk.retry} />
      </div>
    )
  if (!meetings || !answer) return <Loading what="Opening the season" />
  const isSearch = answer.question.search.trim() !== ''
  const parts = { question, answer, set, isWhole }
  const coming = isOnline ? away(meetings) : 0
  return (
    <div className="page season-page">
      <div className="page-head">
        <div>
          <h1>Season</h1>
          <p className="small" role="status">
            {sumText(answer.known, meetings)}
          </p>
        </div>
        <div className="btn-row no-print">
          <Button onPress={() => window.print()}>Print</Button>
        </div>
      </div>
      {trouble && <Note tone="hot">Not kept: {trouble}.</Note>}
      <AwayNote meetings={meetings} isOnline={isOnline} />
      <SeasonFilters question={question} answer={answer} set={set} />
      <SeasonPairPart answer={answer} set={set} />
      {answer.known === 0 ? (
        <Empty title={coming > 0 ? 'No run so far' : 'No run yet'}>
          <p>Runs show up here once their heat has started or somebody entered what came of them.</p>
        </Empty>
      ) : (
        <>
          {isSearch && <SeasonRunsPart {...parts} coming={coming} />}
          {answer.found > 0 && <SeasonGroupsPart {...parts} />}
          {!isSearch && <SeasonRunsPart {...parts} coming={coming} />}
        </>
      )}
      <SeasonMeetingsPart meetings={meetings} desk={desk} />
    </div>
  )
}

/** What an answer is about. */
const subjectOf = (answer: SeasonAnswer | null): string =>
  answer ? JSON.stringify([answer.question.filter, answer.question.search, answer.question.side]) : ''

function sumText(known: number, meetings: readonly SeasonMeeting[]): string {
  const here = meetings.filter((m) => m.runIds.length > 0).length
  return `${known} ${known === 1 ? 'run' : 'runs'} at ${here} ${here === 1 ? 'meeting' : 'meetings'}`
}

/** Meetings that the figures rest without, for now. */
const away = (meetings: readonly SeasonMeeting[]): number =>
  meetings.filter((m) => m.place === 'away' || m.place === 'coming').length

/** What is not in the figures: nobody shall take a part for the whole. */
function AwayNote({ meetings, isOnline }: { meetings: readonly SeasonMeeting[]; isOnline: boolean }) {
  const missing = away(meetings)
  if (missing === 0) return null
  const what = `${missing} of ${meetings.length} meetings`
  return (
    <Note>
      {isOnline
        ? `${what} still loading. What you see here will grow.`
        : `${what} not on this phone. They load when the network is back; keep those that you want to have without it.`}
    </Note>
  )
}
