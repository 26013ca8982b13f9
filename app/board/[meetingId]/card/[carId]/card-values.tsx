'use client'
import {
  useAct,
  useAsk,
  useDerived,
  useEditContext,
  useNameOf,
  useNow,
  useSession,
  useBoard,
  useSettle,
} from '@/app/sync'
import { useCallback, useRef, useState, type KeyboardEvent } from 'react'
import { canWrite, fitValue, joinId, readBackValue, statePowerCycle, type CardGroup } from '@/lib/board'
import { settingText } from '@/lib/core/setting-text'
import {
  cardGroups,
  cardRows,
  rowIsLoose,
  waitsForReading,
  type CardRow as CardRowData,
  type RunInfo,
} from '@/lib/card'
import { Button, CautionText, HelpNote, ValueHead } from '@/app/ui'
import { AddValue } from './add-value'
import { CannotDialog } from './cannot-dialog'
import { CardRow, type RowAct } from './card-row'
import { KitRows } from './kit-rows'
import { rowProps } from './row-props'
import { ValueSheet, type SheetTab } from './value-sheet'

/** At the place of the act, while something there asks for hands. Common practice, no source. */
const GROUP_CAUTIONS: Partial<Record<CardGroup, string>> = {
  drive: 'Unplug the pack while fingers are near gears. A can that just ran burns your skin.',
  control:
    'Programming: wheels off the ground, car on a stand, hands and sleeves clear, transmitter on first.',
}

interface Open {
  parameterId: string
  what: SheetTab | 'cannot'
}

/** The values of a card in the order in which a mechanic works, walked with the arrow keys. */
export function CardValues({ carId, run }: { carId: string; run: RunInfo | undefined }) {
  const ctx = useEditContext()
  const from = { ctx, me: useSession().personId, now: useNow(10_000), nameOf: useNameOf() }
  const ask = useAsk()
  const doEdit = useAct()
  const [onlyLoose, setOnlyLoose] = useState(false)
  const [current, setCurrent] = useState<string | null>(null)
  const [open, setOpen] = useState<Open | null>(null)
  const [adding, setAdding] = useState(false)
  const frame = useRef<HTMLDivElement>(null)
  const groups = useDerived(cardGroups, carId)
  const rows = groups.flatMap((g) => g.rows)
  const loose = rows.filter((r) => rowIsLoose(r) || r.cannot)
  const shown = (r: CardRowData) => (onlyLoose ? rowIsLoose(r) || !!r.cannot : r.state !== 'empty')
  const empty = rows.filter((r) => r.state === 'empty')
  const mayAdd =
    canWrite(ctx, 'meeting', 'cardValues', joinId(carId, 'any'), 'assigned') ||
    canWrite(ctx, 'meeting', 'proposals', 'new', 'value')
  const first = groups.flatMap((g) => g.rows).find(shown)?.parameter.id ?? null
  const inReach = rows.some((r) => r.parameter.id === current && shown(r)) ? current : first
  const openRow = open && rows.find((r) => r.parameter.id === open.parameterId)

  // Rows are redrawn only when their own figures change, so what they call must not change with every edit.
  const onAct = useCallback(
    (parameterId: string, act: RowAct) => {
      const row = ask((board) => cardRows(board, carId)).find((r) => r.parameter.id === parameterId)
      if (!row) return
      setCurrent(parameterId)
      const { parameter: p, assigned, fitted } = row
      const edit = { carId, parameterId }
      if (act === 'fit' && assigned !== null)
        doEdit(
          (by, now) => fitValue(by, now, { ...edit, value: assigned }),
          `${p.label} ${settingText(assigned, p.unit)} fitted`,
        )
      else if (act === 'power-cycle')
        doEdit((by, now) => statePowerCycle(by, now, { carId }), 'Switched off and on again')
      else if (act === 'read-back' && p.needsReadBack && fitted !== null)
        doEdit(
          (by, now) => readBackValue(by, now, { ...edit, value: fitted }),
          `${p.label} ${settingText(fitted, p.unit)} read back`,
        )
      else if (act === 'cannot') setOpen({ parameterId, what: 'cannot' })
      else if (act === 'history') setOpen({ parameterId, what: 'history' })
      else if (act === 'fit-other' || act === 'read-back') setOpen({ parameterId, what: 'fit' })
      else setOpen({ parameterId, what: 'assign' })
    },
    [carId, ask, doEdit],
  )

  const walk = (e: KeyboardEvent) => {
    const target = e.target as HTMLElement
    if (!target.dataset['row'] || e.metaKey || e.ctrlKey || e.altKey) return
    const faces = [...(frame.current?.querySelectorAll<HTMLElement>('[data-row]:not(:disabled)') ?? [])]
    const at = faces.indexOf(target)
    const to =
      e.key === 'ArrowDown'
        ? at + 1
        : e.key === 'ArrowUp'
          ? at - 1
          : e.key === 'Home'
            ? 0
            : e.key === 'End'
              ? faces.length - 1
              : null
    const next = to === null ? undefined : faces[to]
    if (to === null) return
    e.preventDefault()
    if (!next) return
    setCurrent(next.dataset['row'] ?? null)
    next.focus()
  }

  return (
    <div ref={frame} onKeyDown={walk}>
      <div className="card-bar no-print">
        <div className="btn-row">
          <Button
            aria-pressed={onlyLoose}
            look={onlyLoose ? 'do' : 'plain'}
            onPress={() => setOnlyLoose(!onlyLoose)}
          >
            Only loose values <span className="num">{loose.length}</span>
          </Button>
          {mayAdd && (
            <Button isDisabled={empty.length === 0} onPress={() => setAdding(true)}>
              Add a value
            </Button>
          )}
        </div>
        <span className="only-wide">
          <HelpNote about="Keys on this card">
            <p>
              <kbd>↑</kbd> <kbd>↓</kbd> move between values. <kbd>Enter</kbd> does what the value needs next:
              fitted, switched off and on again, or read back. Otherwise it opens the value. <kbd>a</kbd>{' '}
              assign, <kbd>f</kbd> another value is fitted, <kbd>r</kbd> read back, <kbd>c</kbd> can’t be
              fitted, <kbd>h</kbd> history.
            </p>
          </HelpNote>
        </span>
      </div>
      {onlyLoose && loose.length === 0 && (
        <p className="ticket-body">
          Nothing is loose on this card. Every assigned value is in the car and read back where needed.
        </p>
      )}
      {rows.every((r) => r.state === 'empty') && (
        <p className="ticket-body">
          Nothing is assigned on this card yet. Start with pinion and spur; the projections follow from them.
        </p>
      )}
      <div className="card-groups">
        {groups.map((g) => {
          const visible = g.rows.filter(shown)
          const kit =
            !onlyLoose && (g.id === 'drive' || g.id === 'control' || g.id === 'tires' || g.id === 'pack')
          if (visible.length === 0 && !kit) return null
          const caution = visible.some(rowIsLoose) ? GROUP_CAUTIONS[g.id] : undefined
          return (
            <section key={g.id} aria-label={g.name} className="card-group">
              <ValueHead title={g.name} />
              {caution && <CautionText>{caution}</CautionText>}
              {g.id === 'control' && <PowerCycle carId={carId} rows={g.rows} />}
              {kit && <KitRows carId={carId} run={run} group={g.id} />}
              {visible.map((row) => (
                <CardRow
                  key={row.parameter.id}
                  {...rowProps(from, carId, row)}
                  isCurrent={row.parameter.id === inReach}
                  onAct={onAct}
                />
              ))}
            </section>
          )
        })}
      </div>
      {openRow && open.what === 'cannot' && (
        <CannotDialog carId={carId} row={openRow} onClose={() => setOpen(null)} />
      )}
      {openRow && open.what !== 'cannot' && (
        <ValueSheet
          key={`${openRow.parameter.id}${open.what}`}
          carId={carId}
          row={openRow}
          tab={open.what}
          onClose={() => setOpen(null)}
        />
      )}
      {adding && (
        <AddValue
          groups={groups}
          onChoose={(parameterId) => {
            setAdding(false)
            setOpen({ parameterId, what: 'assign' })
          }}
          onClose={() => setAdding(false)}
        />
      )}
    </div>
  )
}

/** Asked once for everything that was dialed in since the car was last off; only then can it be read back. */
function PowerCycle({ carId, rows }: { carId: string; rows: readonly CardRowData[] }) {
  const ctx = useEditContext()
  const settle = useSettle()
  const view = useBoard()
  const waiting = rows.filter((r) => waitsForReading(r) && !r.cycled)
  if (waiting.length === 0) return null
  const may = canWrite(ctx, 'meeting', 'cardValues', joinId(carId, 'esc'), 'cycled')
  return (
    <div className="ticket-body" role="group" aria-label="Power cycle">
      <p>
        <b>{waiting.map((r) => r.parameter.label).join(', ')}</b>: dialed in. Off, wait until it is dark, on
        again; then read {waiting.length === 1 ? 'it' : 'each of them'} back.
      </p>
      {may ? (
        <Button
          look="do"
          onPress={() => settle(statePowerCycle(ctx, view, { carId }), 'Switched off and on again')}
        >
          Switched off and on again
        </Button>
      ) : (
        <p className="small">A mechanic or a manager confirms it.</p>
      )}
    </div>
  )
}
