'use client'
import { useMeetingId } from '@/app/meeting/use-meeting-id'
import { useNameOf, useEditContext, useSettle, useBoard, useNow } from '@/app/sync'
import { useMemo, useState } from 'react'
import {
  assignValue,
  canWrite,
  checkSetting,
  fitValue,
  joinId,
  proposeValue,
  readBackValue,
  type Setting,
} from '@/lib/board'
import { waitsForReading, type CardRow } from '@/lib/card'
import { settingText } from '@/lib/core/setting-text'
import { HistoryList } from '@/app/card/history-list'
import { historyLine } from '@/app/card/history-words'
import { useHistory } from '@/app/card/use-history'
import { Button, Caution, Dialog, FormField, Note, Tabs, timeText } from '@/app/ui'
import { hasKeys } from '@/app/ui/has-keys'
import { SettingEntry } from './setting-entry'

export type SheetTab = 'assign' | 'fit' | 'history'

export interface ValueSheetProps {
  carId: string
  row: CardRow
  tab: SheetTab
  onClose: () => void
}

/** Everything that can be done with one value: assign or propose it, say what is fitted or read, and look at its past. */
export function ValueSheet({ carId, row, tab, onClose }: ValueSheetProps) {
  const [shown, setShown] = useState<string>(tab)
  const p = row.parameter
  return (
    <Dialog title={p.label} isOpen onOpenChange={(open) => !open && onClose()}>
      <Now row={row} />
      <Tabs
        label={`What to do with ${p.label}`}
        selected={shown}
        onSelect={setShown}
        tabs={[
          {
            id: 'assign',
            label: 'Assign',
            content: <AssignPart carId={carId} row={row} onDone={onClose} />,
          },
          {
            id: 'fit',
            label: p.needsReadBack ? 'Fitted, read back' : 'Fitted',
            content: <FitPart carId={carId} row={row} onDone={onClose} />,
          },
          { id: 'history', label: 'History', content: <HistoryPart carId={carId} row={row} /> },
        ]}
      />
    </Dialog>
  )
}

type AnyStamp = { v: unknown; by: string; at: number; why?: string | undefined }

/** How it stands, with every hand that touched it. */
function Now({ row }: { row: CardRow }) {
  const nameOf = useNameOf()
  const { value, parameter: p } = row
  const lines: [string, AnyStamp | undefined][] = [
    ['assigned', value?.assigned],
    ['fitted', value?.fitted],
    // A reading of what was fitted before says nothing about what is fitted now.
    ...(p.needsReadBack && row.readBack ? [['read back', value?.readBack] as [string, AnyStamp]] : []),
    ['can’t be fitted', value?.cannot?.v ? value.cannot : undefined],
  ]
  return (
    <dl className="stand">
      {lines.map(
        ([word, stamp]) =>
          (stamp || word === 'assigned' || word === 'fitted') && (
            <div key={word}>
              <dt className="small">{word}</dt>
              <dd>
                <b className="num">{stamp ? settingText(stamp.v as Setting | null, p.unit) : '–'}</b>
                {stamp && (
                  <span className="small">
                    {' '}
                    {nameOf(stamp.by)} {timeText(stamp.at)}
                    {stamp.why && `: “${stamp.why}”`}
                  </span>
                )}
              </dd>
            </div>
          ),
      )}
    </dl>
  )
}

interface PartProps {
  carId: string
  row: CardRow
  onDone: () => void
}

function AssignPart({ carId, row, onDone }: PartProps) {
  const ctx = useEditContext()
  const settle = useSettle()
  const view = useBoard()
  const p = row.parameter
  const [value, setValue] = useState<Setting | null>(row.assigned ?? row.fitted)
  const [fits, setFits] = useState(true)
  const [why, setWhy] = useState('')
  const recordId = joinId(carId, p.id)
  const mayAssign = canWrite(ctx, 'meeting', 'cardValues', recordId, 'assigned')
  const mayPropose = canWrite(ctx, 'meeting', 'proposals', 'new', 'value')
  const check = value === null ? null : checkSetting(p, value)
  const ready = value !== null && check?.ok === true && fits
  const said = `${p.label} ${settingText(value, p.unit)}`
  const target = { carId, parameterId: p.id }
  const reason = why.trim()
  const assign = () => {
    if (!ready) return
    const edit = { ...target, value, why: reason || undefined }
    if (settle(assignValue(ctx, view, edit), `${said} assigned`)) onDone()
  }
  const propose = () => {
    if (!ready || !reason) return
    if (settle(proposeValue(ctx, { ...target, value, why: reason }), `${said} proposed`)) onDone()
  }
  const empty = () => {
    const done = assignValue(ctx, view, { ...target, value: null, why: reason || undefined })
    if (settle(done, `${p.label}: no longer assigned`)) onDone()
  }
  if (!mayAssign && !mayPropose)
    return <Note>A manager, a mechanic or the car’s driver assigns values. You can see everything.</Note>
  return (
    <div className="grid gap-3">
      <SettingEntry
        parameter={p}
        label="Assigned value"
        value={value}
        onChange={setValue}
        onFits={setFits}
        onEnter={mayAssign ? assign : undefined}
        autoFocus={hasKeys()}
      />
      <FormField
        label={mayAssign ? 'Why?' : 'Why? (needed for a proposal)'}
        hint={mayAssign ? 'Optional. Helps whoever fits it, and whoever reads it next month.' : undefined}
        value={why}
        onChange={setWhy}
        maxLength={400}
        onEnter={mayAssign ? assign : propose}
      />
      {!mayAssign && (
        <p className="small">
          A manager, a mechanic or the car’s driver assigns. Your proposal goes on the card for the manager or
          the driver to decide.
        </p>
      )}
      <div className="btn-row">
        {mayAssign ? (
          <Button look="do" isDisabled={!ready} onPress={assign}>
            Assign {ready ? settingText(value, p.unit) : 'it'}
          </Button>
        ) : (
          <Button look="do" isDisabled={!ready || !reason} onPress={propose}>
            Propose it
          </Button>
        )}
        {mayAssign && row.assigned !== null && <Button onPress={empty}>Clear the assigned value</Button>}
      </div>
    </div>
  )
}

function FitPart({ carId, row, onDone }: PartProps) {
  const ctx = useEditContext()
  const view = useBoard()
  const settle = useSettle()
  const p = row.parameter
  const [value, setValue] = useState<Setting | null>(row.fitted ?? row.assigned)
  const [fits, setFits] = useState(true)
  // A reading is offered only after a stated power cycle; what it shows then is what the control holds.
  const reads = waitsForReading(row) && row.cycled
  const mayFit = canWrite(ctx, 'meeting', 'cardValues', joinId(carId, p.id), 'fitted')
  const check = value === null ? null : checkSetting(p, value)
  const ready = value !== null && check?.ok === true && fits
  const save = (isReading: boolean) => {
    if (!ready) return
    const edit = { carId, parameterId: p.id, value }
    const done = isReading ? readBackValue(ctx, view, edit) : fitValue(ctx, view, edit)
    const said = `${p.label} ${settingText(value, p.unit)}`
    if (settle(done, said + (isReading ? ' read back' : ' fitted'))) onDone()
  }
  if (!mayFit) return <Note>A mechanic or a manager enters what is in the car.</Note>
  return (
    <div className="grid gap-3">
      <SettingEntry
        parameter={p}
        label="Value in the car"
        value={value}
        onChange={setValue}
        onFits={setFits}
        onEnter={() => save(reads)}
        autoFocus={hasKeys()}
      />
      {p.needsReadBack && !reads && (
        <p className="small">
          Dialed in does not mean saved. Switch the car off and on again, confirm that on the card, then read
          the value back.
        </p>
      )}
      <div className="btn-row">
        {reads && (
          <Button look="do" isDisabled={!ready} onPress={() => save(true)}>
            It reads this
          </Button>
        )}
        <Button look={reads ? 'plain' : 'do'} isDisabled={!ready} onPress={() => save(false)}>
          {reads ? 'It was changed again' : 'It is fitted'}
        </Button>
      </div>
      {p.group === 'control' && <Caution kind="wheels" />}
      {p.group === 'drive' && (
        <Caution kind="can">
          Unplug the pack while fingers are near gears. A can that just ran burns your skin.
        </Caution>
      )}
      {p.group === 'pack' && <Caution kind="pack" />}
    </div>
  )
}

function HistoryPart({ carId, row }: Omit<PartProps, 'onDone'>) {
  const meetingId = useMeetingId()
  const view = useBoard()
  const nameOf = useNameOf()
  const now = useNow(10_000)
  const question = useMemo(
    () => ({
      room: `meeting-${meetingId}`,
      collection: 'cardValues',
      recordId: joinId(carId, row.parameter.id),
    }),
    [meetingId, carId, row.parameter.id],
  )
  const history = useHistory(question)
  const name = view.cars.get(carId)?.name ?? ''
  return (
    <HistoryList
      history={history}
      describe={(e) => {
        const line = historyLine(view, e)
        // The sheet already says which car and which value.
        return { ...line, what: String(line.what).replace(`${name}, ${row.parameter.label}, `, '') }
      }}
      nameOf={nameOf}
      now={now}
      empty="No changes to this value at this meeting yet."
    />
  )
}
