'use client'
import { settingText } from '@/lib/core/setting-text'
import { useState } from 'react'
import {
  addNamedRecord,
  checkParameterRange,
  moveInList,
  QUANTITIES,
  setRemoved,
  type ControllerParameter,
} from '@/lib/board'
import { useAct, useBoard, useMay } from '@/app/sync'
import { Button, Dialog, HelpNote, Ticket, TicketBody, TicketHead } from '@/app/ui'
import { AddRecordDialog, type NewField } from '@/app/record/add-record'
import { SeveralDialog } from '../several/several-dialog'
import { RecordForm } from '@/app/record/record-form'

const NEW_FIELDS: readonly NewField[] = [
  { field: 'label', isRequired: true, hint: 'As your programmer shows it.' },
  { field: 'unit', hint: 'Such as ° or %. Leave blank for plain levels.' },
  { field: 'min', isRequired: true },
  { field: 'max', isRequired: true },
  { field: 'step', isRequired: true, initial: 1 },
  { field: 'quantity', initial: 'none', hint: 'What it means for the projections.' },
  { field: 'scale', initial: 1, hint: 'How many common units one of yours is. 1 if the unit is the same.' },
]

/** A speed control's own parameters: label, range and step as its programmer has them, and what they mean to the projections. */
export function ParameterList({ controllerId }: { controllerId: string }) {
  const view = useBoard()
  const act = useAct()
  const may = useMay('kit', 'controllerParameters', 'new', 'label')
  const [adding, setAdding] = useState(false)
  const [several, setSeveral] = useState(false)
  const [open, setOpen] = useState<string | null>(null)
  const rows = view.controllerParameters.live.filter((p) => p.controllerId === controllerId)
  const list = rows.map((p) => p.id)
  const opened = rows.find((p) => p.id === open)
  return (
    <Ticket>
      <TicketHead
        title="Parameters"
        sub="Each becomes a card value: assigned, fitted, and read back after a power cycle"
        stub={undefined}
      />
      <ol className="kit-rows">
        {rows.map((p, i) => (
          <li key={p.id} className="param-row">
            <button type="button" className="kit-row" aria-haspopup="dialog" onClick={() => setOpen(p.id)}>
              <span className="kit-row-name">
                {p.label ?? 'unnamed'}
                <small>{meaningOf(p)}</small>
              </span>
              <span className="kit-row-side num">{rangeOf(p)}</span>
            </button>
            <span className="flex">
              {([-1, 1] as const).map((by) => (
                <Button
                  key={by}
                  look="quiet"
                  isDisabled={!may || (by < 0 ? i === 0 : i === rows.length - 1)}
                  aria-label={`${p.label ?? 'Parameter'}: move ${by < 0 ? 'up' : 'down'}`}
                  onPress={() =>
                    act((ctx) =>
                      moveInList(ctx, {
                        doc: 'kit',
                        collection: 'controllerParameters',
                        list,
                        recordId: p.id,
                        by,
                      }),
                    )
                  }
                >
                  {by < 0 ? 'Up' : 'Down'}
                </Button>
              ))}
            </span>
          </li>
        ))}
        {rows.length === 0 && (
          <li className="small p-4">
            No parameters yet. Start with what your team really changes: drag brake, turbo delay, boost,
            punch.
          </li>
        )}
      </ol>
      <TicketBody>
        <div className="btn-row items-center">
          <Button isDisabled={!may} look={rows.length === 0 ? 'do' : 'plain'} onPress={() => setAdding(true)}>
            Add a parameter
          </Button>
          <Button isDisabled={!may} onPress={() => setSeveral(true)}>
            Add several
          </Button>
          <HelpNote about="Common quantity and scale">
            <p>
              Different makes use different names for the same thing. The common quantity says what a
              parameter is; the scale converts its unit to the common one. Punch levels 1 to 9 of 10% each
              have the scale 10. A parameter without a common quantity still goes on the card; it just does
              not count in the projections.
            </p>
          </HelpNote>
        </div>
      </TicketBody>
      <AddRecordDialog
        title="New parameter"
        doc="kit"
        collection="controllerParameters"
        fields={NEW_FIELDS}
        isOpen={adding}
        onOpenChange={setAdding}
        act="Add the parameter"
        onAdd={(values) => {
          const order = Math.max(-1, ...rows.map((p) => p.order ?? 0)) + 1
          return act(
            (ctx) => {
              const fits = checkParameterRange(values)
              return fits.ok
                ? addNamedRecord(ctx, 'kit', 'controllerParameters', { ...values, controllerId, order })
                : fits
            },
            `${String(values['label'])} added`,
          )
        }}
      />
      <SeveralDialog
        collection="controllerParameters"
        one="parameter"
        fixed={{ controllerId }}
        isOpen={several}
        onOpenChange={setSeveral}
      />
      <Dialog
        title={opened?.label ?? 'Parameter'}
        isOpen={opened !== undefined}
        onOpenChange={(o) => !o && setOpen(null)}
        acts={(close) => (
          <>
            <Button
              look="hot"
              isDisabled={!may}
              onPress={() => {
                if (opened)
                  act(
                    (ctx) => setRemoved(ctx, 'kit', 'controllerParameters', opened.id, true),
                    `${opened.label ?? 'Parameter'} removed`,
                  )
                close()
              }}
            >
              Remove
            </Button>
            <Button look="do" onPress={close}>
              Done
            </Button>
          </>
        )}
      >
        {opened && (
          <div className="-mx-[var(--gutter)]">
            <RecordForm
              doc="kit"
              collection="controllerParameters"
              recordId={opened.id}
              groups={[
                { fields: NEW_FIELDS.map(({ field, hint, isRequired }) => ({ field, hint, isRequired })) },
              ]}
            />
          </div>
        )}
      </Dialog>
    </Ticket>
  )
}

const rangeOf = (p: ControllerParameter): string =>
  p.min === undefined || p.max === undefined
    ? 'no range'
    : `${settingText(p.min)} to ${settingText(p.max, p.unit)}${p.step ? `, by ${settingText(p.step)}` : ''}`

function meaningOf(p: ControllerParameter): string {
  const q = QUANTITIES[p.quantity ?? 'none']
  if ((p.quantity ?? 'none') === 'none') return q.name
  return p.scale !== undefined && p.scale !== 1 ? `${q.name}, one is ${settingText(p.scale, q.unit)}` : q.name
}
