'use client'
import { useState } from 'react'
import { canWrite, signJob, startPlanned } from '@/lib/board'
import { callBehind, dutiesNow, isMine, looseEndsNow, myJobs, titleWithoutCar, type MyJob } from '@/lib/card'
import { useDerived } from '@/app/sync'
import { CallsAsk } from '@/app/calls/calls-ask'
import { Button, Caution, Empty, Link, LinkButton, Tick, Ticket, timeText } from '@/app/ui'
import { useRaceDay, type RaceDay } from '@/app/meeting/use-race-day'
import { whoText } from '@/app/meeting/who-text'
import { JobWhen } from './job-when'
import { OffCharge } from './off-charge'
import { LooseEndAct } from './loose-end-act'
import './my-jobs.css'
import '@/app/meeting/order.css'

/** Everything with a deadline that one person has to do, the most urgent first: a mechanic's first screen. */
export function MyJobsScreen() {
  const day = useRaceDay()
  const [everybodys, setEverybodys] = useState(false)
  const { view, runs, me, now, meetingId } = day
  const ends = useDerived(looseEndsNow)
  const duties = useDerived(dutiesNow)
  const mine = myJobs(view, runs, me, now, ends, duties)
  const others = everybodys
    ? ends
        .filter((end) => !isMine(end, me))
        .map((end): MyJob => {
          const car = view.cars.get(end.carId)?.name ?? ''
          return {
            id: end.id,
            deadline: end.bitesAt,
            call: callBehind(end, runs),
            car,
            what: titleWithoutCar(end.title, car),
            why: whoText(end.who, me.personId, day.nameOf),
            act: { kind: 'loose-end', end },
          }
        })
    : []
  const isCharging = mine.some((j) => j.act.kind === 'on-charge' || j.act.kind === 'off-charge')
  const jobs = [...mine, ...others].sort((a, b) => (a.deadline ?? Infinity) - (b.deadline ?? Infinity))
  return (
    <div className="page page-jobs">
      <header className="page-head jobs-head">
        <h1>My jobs</h1>
        <Tick isSelected={everybodys} onChange={setEverybodys}>
          Everybody’s
        </Tick>
      </header>
      <CallsAsk />
      {jobs.length === 0 ? (
        <Empty
          title="Nothing to do right now"
          acts={<LinkButton href={`/board/${meetingId}/order`}>Running order</LinkButton>}
        >
          <p>
            {runs.length === 0
              ? 'No car of the team is in the running order yet. When one is, what it needs shows up here.'
              : 'Every coming run has what it needs from you. New jobs show up here on their own, the most urgent first.'}
          </p>
        </Empty>
      ) : (
        <Ticket label="My jobs">
          <ol className="jobs" aria-label="Jobs, most urgent first">
            {jobs.map((job) => (
              <li key={job.id} className="job" data-job={job.id}>
                <JobWhen at={job.deadline} isCall={job.act.kind === 'staging'} now={now} />
                <div className="job-what">
                  <div className="job-title">
                    {job.car !== '' && <JobCar day={day} job={job} />}
                    {job.what}
                  </div>
                  <div className="small job-why">
                    {[job.call !== null && `call ${timeText(job.call)}`, job.why].filter(Boolean).join(' · ')}
                  </div>
                </div>
                <div className="job-act no-print">
                  <JobAct day={day} job={job} />
                </div>
              </li>
            ))}
          </ol>
        </Ticket>
      )}
      {isCharging && <Caution kind="pack" />}
    </div>
  )
}

/** The car's name, which leads to its card where the row is about what is in it. */
function JobCar({ day, job }: { day: RaceDay; job: MyJob }) {
  const carId = job.act.kind === 'loose-end' ? job.act.end.carId : null
  return carId === null ? (
    <b>{job.car} </b>
  ) : (
    <b>
      <Link href={`/board/${day.meetingId}/card/${carId}`}>{job.car}</Link>{' '}
    </b>
  )
}

/** The one tap that does the job, or leads to where it is done. */
function JobAct({ day, job }: { day: RaceDay; job: MyJob }) {
  const { ctx, view, settle, meetingId } = day
  const { act } = job
  const may = (collection: string, id: string, field: string) =>
    canWrite(ctx, 'meeting', collection, id, field)
  switch (act.kind) {
    case 'loose-end':
      return <LooseEndAct end={act.end} />
    case 'sign-job':
      return (
        <Button
          isDisabled={!may('jobs', act.jobId, 'done')}
          onPress={() => settle(signJob(ctx, { jobId: act.jobId, done: true }), 'Job signed')}
        >
          Done
        </Button>
      )
    case 'on-charge':
      return (
        <Button
          isDisabled={!may('charges', act.chargeId, 'startedAt')}
          onPress={() =>
            settle(
              startPlanned(ctx, view, act.chargeId),
              `${view.packs.get(view.charges.get(act.chargeId)?.packId)?.label ?? 'Pack'} is on charge`,
            )
          }
        >
          On charge
        </Button>
      )
    case 'off-charge':
      return <OffCharge day={day} chargeId={act.chargeId} />
    case 'staging':
      return <LinkButton href={`/board/${meetingId}/staging/${act.runId}`}>Staging</LinkButton>
    case 'none':
      return null
  }
}
