'use client'
import { useBoard, useEditContext, useNow, useNameOf, useSettle } from '@/app/sync'
import { useState } from 'react'
import {
  addJob,
  canWrite,
  changeRecord,
  removeRecord,
  signJob,
  type BoardView,
  type MeetingRecord,
} from '@/lib/board'
import {
  Button,
  Dialog,
  FormField,
  SelectField,
  Tick,
  Ticket,
  TicketHead,
  TicketSection,
  TimeField,
  timeText,
} from '@/app/ui'
import { timeToday } from './time-today'

type Job = MeetingRecord<'jobs'>

/** Jobs beside the cards: who, what, until when; signed when done. */
export function JobsPart() {
  const view = useBoard()
  const ctx = useEditContext()
  const [showDone, setShowDone] = useState(false)
  const jobs = [...view.jobs.live].sort((a, b) => (a.dueAt ?? Infinity) - (b.dueAt ?? Infinity))
  const open = jobs.filter((j) => !j.done)
  const done = jobs.filter((j) => j.done)
  const may = canWrite(ctx, 'meeting', 'jobs', 'new', 'text')
  return (
    <Ticket label="Jobs">
      <TicketHead
        title="Jobs"
        sub={open.length ? 'earliest first, those without a time last' : 'nothing open'}
        stub={
          <>
            <span className="num">{open.length}</span>
            <small>open</small>
          </>
        }
      />
      <ul className="ruled" aria-label="Jobs">
        {(showDone ? jobs : open).map((j) => (
          <li key={j.id} data-job={j.id}>
            <JobRow job={j} />
          </li>
        ))}
      </ul>
      {done.length > 0 && (
        <Button look="quiet" wide onPress={() => setShowDone(!showDone)}>
          {showDone ? 'Hide the signed ones' : `Show ${done.length} signed`}
        </Button>
      )}
      {may ? <AddJob /> : <p className="ticket-body small">A manager or a mechanic adds jobs.</p>}
    </Ticket>
  )
}

const crewOptions = (view: BoardView) =>
  view.people.live.filter((p) => p.role !== 'guest').map((p) => ({ id: p.id, label: p.name ?? 'somebody' }))
const carOptions = (view: BoardView) => view.cars.live.map((c) => ({ id: c.id, label: c.name ?? 'a car' }))

function JobRow({ job }: { job: Job }) {
  const ctx = useEditContext()
  const now = useNow(10_000)
  const nameOf = useNameOf()
  const view = useBoard()
  const settle = useSettle()
  const [open, setOpen] = useState(false)
  const may = canWrite(ctx, 'meeting', 'jobs', job.id, 'text')
  const maySign = canWrite(ctx, 'meeting', 'jobs', job.id, 'done')
  const late = !job.done && job.dueAt !== undefined && job.dueAt < now
  const detail = [
    job.personId ? nameOf(job.personId) : 'nobody yet',
    job.carId && view.cars.get(job.carId)?.name,
    job.dueAt !== undefined && `due ${timeText(job.dueAt)}${late ? ', overdue' : ''}`,
    job.done && `signed by ${nameOf(job.done.by)} at ${timeText(job.done.at)}`,
  ].filter(Boolean)
  return (
    <div className="flex items-center gap-2 px-4">
      <div className="grow min-w-0">
        <Tick
          isSelected={!!job.done}
          isDisabled={!maySign}
          onChange={(done) =>
            void settle(signJob(ctx, { jobId: job.id, done }), done ? 'Job signed' : 'Signature removed')
          }
          detail={<span className={late ? 'duty-clash' : undefined}>{detail.join(' · ')}</span>}
        >
          {job.text}
        </Tick>
      </div>
      {may && <Button onPress={() => setOpen(true)}>Change</Button>}
      {open && <JobDialog job={job} onClose={() => setOpen(false)} />}
    </div>
  )
}

function JobDialog({ job, onClose }: { job: Job; onClose: () => void }) {
  const view = useBoard()
  const now = useNow(10_000)
  const settle = useSettle()
  const ctx = useEditContext()
  const [text, setText] = useState(job.text ?? '')
  const [personId, setPersonId] = useState(job.personId ?? null)
  const [carId, setCarId] = useState(job.carId ?? null)
  const [due, setDue] = useState(job.dueAt === undefined ? '' : timeText(job.dueAt))
  const dueAt = due === '' ? null : timeToday(due, now)
  const unread = due !== '' && dueAt === null
  const save = () => {
    const keep = job.dueAt !== undefined && due === timeText(job.dueAt)
    const fields = { text: text.trim(), personId, carId, dueAt: keep ? undefined : dueAt }
    if (settle(changeRecord(ctx, 'meeting', 'jobs', job.id, fields), 'Job changed')) onClose()
  }
  return (
    <Dialog
      title="Job"
      isOpen
      onOpenChange={(open) => !open && onClose()}
      acts={() => (
        <>
          <Button
            look="hot"
            onPress={() => {
              if (settle(removeRecord(ctx, 'meeting', 'jobs', job.id), 'Job removed')) onClose()
            }}
          >
            Remove
          </Button>
          <Button look="do" isDisabled={unread || !text.trim()} onPress={save}>
            Save
          </Button>
        </>
      )}
    >
      <FormField label="What needs doing" value={text} onChange={setText} isRequired maxLength={200} />
      <SelectField
        label="Who"
        none="Nobody yet"
        options={crewOptions(view)}
        value={personId}
        onChange={setPersonId}
      />
      <SelectField label="Car" none="No car" options={carOptions(view)} value={carId} onChange={setCarId} />
      <TimeField label="Due" value={due} onChange={setDue} />
    </Dialog>
  )
}

function AddJob() {
  const view = useBoard()
  const now = useNow(10_000)
  const settle = useSettle()
  const ctx = useEditContext()
  const [text, setText] = useState('')
  const [personId, setPersonId] = useState<string | null>(null)
  const [due, setDue] = useState('')
  const dueAt = due === '' ? null : timeToday(due, now)
  const add = () => {
    if (!settle(addJob(ctx, { text, personId, dueAt }), 'Job added')) return
    setText('')
    setDue('')
  }
  return (
    <div className="no-print">
      <TicketSection title="Add a job" />
      <div className="duty-add">
        <FormField label="What needs doing" value={text} onChange={setText} maxLength={200} onEnter={add} />
        <SelectField
          label="Who"
          none="Nobody yet"
          options={crewOptions(view)}
          value={personId}
          onChange={setPersonId}
        />
        <TimeField label="Due" value={due} onChange={setDue} />
        <Button look="do" isDisabled={!text.trim() || (due !== '' && dueAt === null)} onPress={add}>
          Add
        </Button>
      </div>
    </div>
  )
}
