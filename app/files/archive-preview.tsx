'use client'
import { useState } from 'react'
import type { ArchivePlan, ConflictChoice, RoomPlan } from '@/lib/archive'
import { showJson } from '@/lib/board'
import type { Json } from '@/lib/core/json'
import { Button, ChoiceField, TicketBody, TicketSection } from '@/app/ui'
import { RuledTable } from '@/app/ui/ruled-table'

const FIRST = 12
const said = (value: Json) => (typeof value === 'boolean' ? (value ? 'yes' : 'no') : showJson(value) || '–')

/** What an archive would bring, before anything is written; what to do where both boards were changed. */
export function ArchivePreview({
  plan,
  onTake,
  onDrop,
}: {
  plan: ArchivePlan
  onTake: (conflicts: ConflictChoice) => void
  onDrop: () => void
}) {
  const [choice, setChoice] = useState<ConflictChoice>('here')
  const conflicts = plan.rooms.flatMap((r) => r.collections).reduce((n, c) => n + c.conflicts, 0)
  return (
    <>
      <TicketBody>
        <p>
          {plan.scope.kind === 'team' ? 'The team' : 'One meeting with the whole kit'}, made{' '}
          <span className="num">{plan.createdAt.slice(0, 16).replace('T', ' ')} UTC</span>. Photos:{' '}
          {plan.photos.added} new, {plan.photos.same} here already. History: {plan.history} lines.
        </p>
        {plan.notes.map((note) => (
          <p key={note} className="small">
            {note}
          </p>
        ))}
      </TicketBody>
      {plan.rooms.map((room) => (
        <RoomPreview key={room.room} room={room} />
      ))}
      <TicketBody>
        {conflicts > 0 && (
          <ChoiceField
            label={`${conflicts} ${conflicts === 1 ? 'value differs' : 'values differ'} and nobody knows which is later`}
            options={[
              { id: 'here', label: 'Keep this board’s' },
              { id: 'archive', label: 'Use the archive’s' },
            ]}
            value={choice}
            onChange={(next) => setChoice(next === 'archive' ? 'archive' : 'here')}
          />
        )}
        <div className="btn-row">
          <Button look="do" onPress={() => onTake(choice)}>
            Import it
          </Button>
          <Button onPress={onDrop}>Cancel</Button>
        </div>
      </TicketBody>
    </>
  )
}

function RoomPreview({ room }: { room: RoomPlan }) {
  const rest = [
    room.filled > 0 && `${room.filled} empty values filled`,
    room.older > 0 && `${room.older} stay: they are later here, or belong to people who are here`,
    room.same > 0 && `${room.same} the same`,
  ].filter(Boolean)
  const changed = room.collections.filter((c) => c.added + c.later + c.conflicts > 0)
  return (
    <>
      <TicketSection
        title={room.name}
        level={3}
        aside={room.isNew ? <span className="small">new</span> : undefined}
      />
      {changed.length > 0 && (
        <RuledTable
          label={`Changes of ${room.name}`}
          head={['List', { figures: 'New' }, { figures: 'Changed' }, { figures: 'In conflict' }]}
        >
          <tbody>
            {changed.map((c) => (
              <tr key={c.collection}>
                <th scope="row">{c.label}</th>
                <td className="is-number num">{c.added}</td>
                <td className="is-number num">{c.later}</td>
                <td className="is-number num">{c.conflicts}</td>
              </tr>
            ))}
          </tbody>
        </RuledTable>
      )}
      <TicketBody>
        {rest.length > 0 && <p className="small">{rest.join(', ')}.</p>}
        {room.differences.slice(0, FIRST).map((d) => (
          <p key={`${d.recordId}.${d.field}`} className="small" dir="auto">
            <b>
              {d.name}, {d.field}
            </b>
            : here {said(d.here)}, archive {said(d.archive)}
            {d.kind === 'conflict' ? ' (conflict)' : ''}
          </p>
        ))}
        {room.differences.length > FIRST && (
          <p className="small">And {room.differences.length - FIRST} more that differ.</p>
        )}
      </TicketBody>
    </>
  )
}
