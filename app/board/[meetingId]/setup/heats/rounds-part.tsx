'use client'
import { useState } from 'react'
import { addRecord, moveInList, ROUND_KINDS, setRemoved, type RoundKind } from '@/lib/board'
import { useAct, useBoard, useMay } from '@/app/sync'
import { Button, ChoiceField, FormField, Ticket, TicketBody, TicketHead } from '@/app/ui'
import { choiceWord } from '@/app/words/choice-words'
import { nameOf } from '@/app/record/ref-options'
import { RecordField } from '@/app/record/record-field'

/** The rounds of the meeting in their order; an import adds those that it names. */
export function RoundsPart() {
  const view = useBoard()
  const act = useAct()
  const may = useMay('meeting', 'rounds', 'new', 'name')
  const [name, setName] = useState('')
  const [kind, setKind] = useState<RoundKind>('qualifying')
  const rounds = view.rounds.live
  const list = rounds.map((r) => r.id)
  const add = () => {
    if (name.trim() === '') return
    const order = Math.max(0, ...rounds.map((r) => r.order ?? 0)) + 1
    const done = act(
      (ctx) => addRecord(ctx, 'meeting', 'rounds', { name: name.trim(), kind, order }),
      `${name.trim()} added`,
    )
    if (done.ok) setName('')
  }
  return (
    <Ticket>
      <TicketHead title="Rounds" sub="Scoring counts the qualifying rounds; finals count by legs" />
      <ol className="kit-rows">
        {rounds.map((r, i) => {
          const heats = view.heats.live.filter((h) => h.roundId === r.id && !h.isBreak).length
          return (
            <li
              key={r.id}
              className="grid gap-3 p-[var(--gutter)] lg:grid-cols-[minmax(0,1fr)_auto_auto] items-end"
            >
              <RecordField
                doc="meeting"
                collection="rounds"
                recordId={r.id}
                field="name"
                isRequired
                hint={`${heats} ${heats === 1 ? 'heat' : 'heats'}`}
              />
              <RecordField doc="meeting" collection="rounds" recordId={r.id} field="kind" />
              <div className="btn-row">
                <Button
                  isDisabled={!may || i === 0}
                  aria-label={`${nameOf(r)}: move up`}
                  onPress={() =>
                    act((ctx) =>
                      moveInList(ctx, { doc: 'meeting', collection: 'rounds', list, recordId: r.id, by: -1 }),
                    )
                  }
                >
                  Up
                </Button>
                <Button
                  look="quiet"
                  isDisabled={!may || heats > 0}
                  aria-label={`${heats > 0 ? 'Has heats' : 'Remove'}: ${nameOf(r)}`}
                  onPress={() =>
                    act((ctx) => setRemoved(ctx, 'meeting', 'rounds', r.id, true), `${nameOf(r)} removed`)
                  }
                >
                  {heats > 0 ? 'Has heats' : 'Remove'}
                </Button>
              </div>
            </li>
          )
        })}
        {rounds.length === 0 && <li className="small p-4">No rounds yet.</li>}
      </ol>
      <TicketBody>
        <FormField
          label="New round"
          value={name}
          maxLength={40}
          onChange={setName}
          isDisabled={!may}
          onEnter={add}
        />
        <ChoiceField
          label="Kind"
          options={ROUND_KINDS.map((k) => ({ id: k, label: choiceWord(k) }))}
          value={kind}
          isDisabled={!may}
          onChange={(id) => setKind(ROUND_KINDS.find((k) => k === id) ?? 'qualifying')}
        />
        <div className="btn-row">
          <Button look="do" isDisabled={!may || name.trim() === ''} onPress={add}>
            Add the round
          </Button>
        </div>
      </TicketBody>
    </Ticket>
  )
}
