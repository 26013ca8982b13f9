'use client'
import { useParams } from 'next/navigation'
import { useMemo, useState } from 'react'
import { restoreHeat, type BoardView, type Heat } from '@/lib/board'
import { heatTitleText, titleOfHeat } from '@/lib/running-order'
import { useAct, useBoard, useMay, useSession } from '@/app/sync'
import {
  Button,
  ChoiceField,
  Empty,
  LinkButton,
  shortDayText,
  Ticket,
  TicketBody,
  TicketHead,
  Tick,
  useCommands,
  type Command,
} from '@/app/ui'
import { HeatBlock } from './heat-block'
import { HeatDialog } from './heat-dialog'
import { RoundsPart } from './rounds-part'

type Which = 'all' | 'ours' | 'coming'

/** The running order by hand: heats, breaks and entries added, moved, dropped. */
export function HeatsScreen() {
  const view = useBoard()
  const { role } = useSession()
  const { meetingId } = useParams<{ meetingId: string }>()
  const may = useMay('meeting', 'heats', 'new', 'number')
  const [adding, setAdding] = useState<'heat' | 'break' | null>(null)
  const [which, setWhich] = useState<Which>('all')
  const heats = view.heats.live
  const shown = heats.filter((h) => isShown(view, h, which))
  const commands = useMemo(
    (): Command[] =>
      may
        ? [
            { id: 'add-heat', group: 'Here', label: 'Add a heat', run: () => setAdding('heat') },
            { id: 'add-break', group: 'Here', label: 'Add a break', run: () => setAdding('break') },
          ]
        : [],
    [may],
  )
  useCommands(commands)
  const importLink = (
    <LinkButton href={`/board/${meetingId}/setup/import`} look={heats.length ? 'plain' : 'do'}>
      Import a running order
    </LinkButton>
  )
  const acts = (
    <>
      {importLink}
      <Button isDisabled={!may || view.rounds.live.length === 0} onPress={() => setAdding('heat')}>
        Add a heat
      </Button>
      <Button isDisabled={!may} onPress={() => setAdding('break')}>
        Add a break
      </Button>
    </>
  )
  return (
    <>
      {heats.length === 0 ? (
        <Empty title="Heats and entries" level={1} acts={acts}>
          <p>No heats yet. Import the organizer’s list, or add a round below and then its heats.</p>
        </Empty>
      ) : (
        <Ticket>
          <TicketHead
            level={1}
            title="Heats and entries"
            sub={`${heats.filter((h) => !h.isBreak).length} heats, ${view.entries.live.length} entries`}
          />
          <TicketBody>
            <div className="btn-row">{acts}</div>
            {!may && <p className="small">A {role} can see this list. Only a manager can change it.</p>}
            <ChoiceField
              label="Show"
              hideLabel
              options={[
                { id: 'all', label: 'All' },
                { id: 'ours', label: 'With our cars' },
                { id: 'coming', label: 'Not started' },
              ]}
              value={which}
              onChange={(id) => setWhich(id === 'ours' || id === 'coming' ? id : 'all')}
            />
          </TicketBody>
          <div className="border-t border-rule">
            {shown.map((h, i) => {
              const day = dayOf(h)
              const isNew = day !== '' && day !== dayOf(shown[i - 1])
              return (
                <div key={h.id}>
                  {isNew && <p className="px-[var(--gutter)] pt-3 font-semibold">{day}</p>}
                  <HeatBlock heat={h} />
                </div>
              )
            })}
            {shown.length === 0 && <p className="small p-4">No heats like that.</p>}
          </div>
        </Ticket>
      )}
      <RoundsPart />
      <DroppedHeats />
      <HeatDialog
        key={adding ?? 'none'}
        heat={null}
        isBreak={adding === 'break'}
        isOpen={adding !== null}
        onOpenChange={(open) => !open && setAdding(null)}
      />
    </>
  )
}

const dayOf = (h: Heat | undefined): string =>
  h?.plannedStart === undefined ? '' : shortDayText(h.plannedStart)

function isShown(view: BoardView, heat: Heat, which: Which): boolean {
  if (which === 'coming') return !heat.startedAt?.v
  if (which === 'ours') return view.entries.live.some((e) => e.heatId === heat.id && e.carId)
  return true
}

/** Heats that were dropped, by hand or by an import, and the way back. */
function DroppedHeats() {
  const view = useBoard()
  const act = useAct()
  const may = useMay('meeting', 'heats', 'new', 'removed')
  const [shown, setShown] = useState(false)
  const dropped = [...view.heats.all.values()].filter((h) => h.removed)
  if (dropped.length === 0) return null
  return (
    <div>
      <Tick isSelected={shown} onChange={setShown}>
        Show deleted heats ({dropped.length})
      </Tick>
      {shown && (
        <ul className="kit-rows bg-sheet border border-rule" aria-label="Deleted heats">
          {dropped.map((h) => {
            const title = heatTitleText(titleOfHeat(view, h))
            return (
              <li key={h.id} className="kit-row">
                <s>{title}</s>
                <Button
                  isDisabled={!may}
                  aria-label={`Restore ${title} back`}
                  onPress={() => act((ctx) => restoreHeat(ctx, { heatId: h.id }), `${title} is back`)}
                >
                  Restore
                </Button>
              </li>
            )
          })}
        </ul>
      )}
    </div>
  )
}
