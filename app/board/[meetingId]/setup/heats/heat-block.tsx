'use client'
import { useState } from 'react'
import { dropEntry, dropHeat, moveHeat, type Entry, type Heat } from '@/lib/board'
import { heatTitleText, titleOfHeat } from '@/lib/running-order'
import { compareNames } from '@/lib/core/compare-names'
import { useAct, useBoard, useMay, SavedMark } from '@/app/sync'
import { Button, Menu, timeText } from '@/app/ui'
import { nameOf } from '@/app/record/ref-options'
import { EntryDialog } from './entry-dialog'
import { HeatDialog } from './heat-dialog'
import { MoveEntryDialog } from './move-entry-dialog'
import { ShiftDialog } from '@/app/meeting/shift-dialog'

/** One heat or break; opened it shows its entries and what can be done with it. */
export function HeatBlock({ heat }: { heat: Heat }) {
  const view = useBoard()
  const act = useAct()
  const may = useMay('meeting', 'heats', heat.id, 'plannedStart')
  const [dialog, setDialog] = useState<'edit' | 'shift' | 'entry' | null>(null)
  const entries = view.entries.live
    .filter((e) => e.heatId === heat.id)
    .sort(
      (a, b) => (a.gridPosition ?? 999) - (b.gridPosition ?? 999) || compareNames(a.driverName, b.driverName),
    )
  const ours = entries.flatMap((e) => (e.carId ? [nameOf(view.cars.get(e.carId))] : []))
  const title = heatTitleText(titleOfHeat(view, heat))
  const started = Boolean(heat.startedAt?.v)
  const close = (open: boolean) => !open && setDialog(null)
  return (
    <>
      <details className="heat-block" data-ours={ours.length > 0 ? '' : undefined}>
        <summary>
          <span className="heat-time num">
            {heat.plannedStart === undefined ? '--:--' : timeText(heat.plannedStart)}
          </span>
          <span className="min-w-0">
            {heat.isBreak ? (heat.label ?? 'Break') : title}
            <span className="small block">
              {[
                !heat.isBreak && `${entries.length} ${entries.length === 1 ? 'entry' : 'entries'}`,
                ours.length > 0 && `ours: ${ours.join(', ')}`,
                heat.finishedAt?.v ? 'finished' : started && 'started',
              ]
                .filter(Boolean)
                .join(' · ')}
              <SavedMark
                doc="meeting"
                collection="heats"
                recordId={heat.id}
                field={['plannedStart', 'order', 'number', 'label']}
              />
            </span>
          </span>
        </summary>
        {!heat.isBreak && (
          <ul className="entry-rows" aria-label={`Entries of ${title}`}>
            {entries.map((e) => (
              <EntryRow key={e.id} entry={e} heatTitle={title} may={may} />
            ))}
            {entries.length === 0 && <li className="small">No entry yet.</li>}
          </ul>
        )}
        <div className="btn-row p-3">
          {!heat.isBreak && (
            <Button isDisabled={!may} onPress={() => setDialog('entry')}>
              Add an entry
            </Button>
          )}
          <Button isDisabled={!may} onPress={() => setDialog('edit')}>
            Change
          </Button>
          <Menu
            label={`More for ${title}`}
            acts={[
              {
                id: 'shift',
                label: 'Move this and all later heats',
                isDisabled: !may,
                onAct: () => setDialog('shift'),
              },
              {
                id: 'up',
                label: 'Move up',
                isDisabled: !may,
                onAct: () =>
                  void act((ctx, v) => moveHeat(ctx, v, { heatId: heat.id, by: -1 }), `${title} moved up`),
              },
              {
                id: 'down',
                label: 'Move down',
                isDisabled: !may,
                onAct: () =>
                  void act((ctx, v) => moveHeat(ctx, v, { heatId: heat.id, by: 1 }), `${title} moved down`),
              },
              {
                id: 'drop',
                label: heat.isBreak ? 'Delete this break' : 'Delete this heat',
                detail: ours.length ? `${ours.join(', ')} will not run` : undefined,
                isDisabled: !may,
                onAct: () => void act((ctx, v) => dropHeat(ctx, v, { heatId: heat.id }), `${title} deleted`),
              },
            ]}
          />
        </div>
      </details>
      <HeatDialog
        key={`edit-${dialog}`}
        heat={heat}
        isBreak={heat.isBreak ?? false}
        isOpen={dialog === 'edit'}
        onOpenChange={close}
      />
      <ShiftDialog heat={heat} isOpen={dialog === 'shift'} onOpenChange={close} />
      <EntryDialog
        key={`entry-${dialog}`}
        heatId={heat.id}
        entry={null}
        isOpen={dialog === 'entry'}
        onOpenChange={close}
      />
    </>
  )
}

function EntryRow({ entry, heatTitle, may }: { entry: Entry; heatTitle: string; may: boolean }) {
  const view = useBoard()
  const act = useAct()
  const [dialog, setDialog] = useState<'edit' | 'move' | null>(null)
  const name = entry.driverName ?? 'unnamed'
  const close = (open: boolean) => !open && setDialog(null)
  return (
    <li data-ours={entry.carId ? '' : undefined}>
      <span className="num">{entry.gridPosition ?? ''}</span>
      <span className="min-w-0">
        {name}
        <span className="small block">
          {[
            entry.carId && nameOf(view.cars.get(entry.carId)),
            entry.carNumber && `car ${entry.carNumber}`,
            entry.transponder,
          ]
            .filter(Boolean)
            .join(' · ')}
        </span>
      </span>
      <Menu
        label={`Do: ${name}, ${heatTitle}`}
        button="Do"
        acts={[
          { id: 'edit', label: 'Change', isDisabled: !may, onAct: () => setDialog('edit') },
          {
            id: 'move',
            label: 'Move to another heat',
            detail: entry.carId ? 'pack, tires and checks go with it' : undefined,
            isDisabled: !may,
            onAct: () => setDialog('move'),
          },
          {
            id: 'drop',
            label: 'Delete the entry',
            isDisabled: !may,
            onAct: () =>
              void act((ctx) => dropEntry(ctx, { entryId: entry.id }), `${name} deleted from ${heatTitle}`),
          },
        ]}
      />
      <EntryDialog
        key={`edit-${dialog}`}
        heatId={entry.heatId ?? ''}
        entry={entry}
        isOpen={dialog === 'edit'}
        onOpenChange={close}
      />
      <MoveEntryDialog entry={entry} isOpen={dialog === 'move'} onOpenChange={close} />
    </li>
  )
}
