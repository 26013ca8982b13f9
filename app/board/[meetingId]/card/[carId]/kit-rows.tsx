'use client'
import { useBoard, useEditContext, useSettle, useNameOf, SavedMark } from '@/app/sync'
import { useState } from 'react'
import { canWrite, changeController, changeMotor, type CardGroup } from '@/lib/board'
import { heatOfRun, type RunInfo } from '@/lib/card'
import { Button, Caution, Dialog, SelectField } from '@/app/ui'
import { ChoosePack } from '@/app/meeting/choose-pack'
import { ChooseTires } from '@/app/meeting/choose-tires'
import { PackInDialog } from '@/app/meeting/pack-in-dialog'
import { TiresOnDialog } from '@/app/meeting/tires-on-dialog'

interface Props {
  carId: string
  run: RunInfo | undefined
}

/** What the kit and the run put into the car, in the group where a mechanic looks for it. */
export function KitRows({ group, ...props }: Props & { group: CardGroup }) {
  switch (group) {
    case 'drive':
      return <PartRow {...props} part="motor" />
    case 'control':
      return <PartRow {...props} part="controller" />
    case 'tires':
      return props.run ? <PromiseRow run={props.run} what="tires" /> : null
    case 'pack':
      return props.run ? <PromiseRow run={props.run} what="pack" /> : null
    default:
      return null
  }
}

/** Motor or speed control: one thing of the kit is in the car. */
function PartRow({ carId, part }: Omit<Props, 'run'> & { part: 'motor' | 'controller' }) {
  const view = useBoard()
  const ctx = useEditContext()
  const [open, setOpen] = useState(false)
  const car = view.cars.get(carId)
  const field = part === 'motor' ? 'motorId' : 'controllerId'
  const label = part === 'motor' ? 'Motor' : 'Speed control'
  const all = part === 'motor' ? view.motors : view.controllers
  const now = all.get(car?.[field])
  const may = canWrite(ctx, 'kit', 'cars', carId, field)
  return (
    <div
      className="value-row card-row"
      data-state={now ? 'equal' : 'not-fitted'}
      role="group"
      aria-label={label}
    >
      <button
        type="button"
        className="row-face"
        data-row={part}
        tabIndex={-1}
        aria-haspopup="dialog"
        onClick={() => setOpen(true)}
      >
        <span className="row-label">{label}</span>
        <span className="small row-detail">from the kit</span>
      </button>
      <div className="value-cell row-wide">
        {now?.name ?? 'none'} <SavedMark doc="kit" collection="cars" recordId={carId} field={field} />
      </div>
      {open && (
        <ChangePart
          carId={carId}
          part={part}
          label={label}
          may={may}
          now={car?.[field] ?? null}
          onClose={() => setOpen(false)}
        />
      )}
    </div>
  )
}

function ChangePart({
  carId,
  part,
  label,
  may,
  now,
  onClose,
}: {
  carId: string
  part: 'motor' | 'controller'
  label: string
  may: boolean
  now: string | null
  onClose: () => void
}) {
  const view = useBoard()
  const ctx = useEditContext()
  const settle = useSettle()
  const [chosen, setChosen] = useState(now)
  const inCars = new Map(
    view.cars.live.flatMap((c) =>
      part === 'motor' && c.motorId && c.id !== carId ? [[c.motorId, c.name]] : [],
    ),
  )
  const list: readonly { id: string; name?: string | undefined; turns?: number; kvRpmPerVolt?: number }[] =
    part === 'motor' ? view.motors.live : view.controllers.live
  const save = () => {
    const done =
      part === 'motor'
        ? changeMotor(ctx, view, { carId, motorId: chosen })
        : changeController(ctx, view, { carId, controllerId: chosen })
    const name = list.find((o) => o.id === chosen)?.name ?? 'nothing'
    if (settle(done, `${label}: ${name} is in`)) onClose()
  }
  return (
    <Dialog
      title={`Change the ${label.toLowerCase()}`}
      isOpen
      onOpenChange={(open) => !open && onClose()}
      acts={() => (
        <Button look="do" isDisabled={!may || chosen === now} onPress={save}>
          It is in the car
        </Button>
      )}
    >
      <SelectField
        label={`${label} in the car`}
        options={list.map((o) => ({
          id: o.id,
          label: o.name ?? o.id,
          detail: inCars.get(o.id)
            ? `in ${inCars.get(o.id)}`
            : o.kvRpmPerVolt
              ? `${o.kvRpmPerVolt} rpm/V`
              : undefined,
          isDisabled: inCars.has(o.id),
        }))}
        none="None"
        value={chosen}
        onChange={setChosen}
        isDisabled={!may}
      />
      <p className="small">
        {may
          ? part === 'motor'
            ? 'This opens its follow-ups: mesh, calibration and whatever else the kit’s rules call for.'
            : 'The card then shows the new speed control’s own list. The values of the old one are kept with it.'
          : 'A mechanic or a manager can enter this.'}
      </p>
      <Caution kind={part === 'motor' ? 'can' : 'wheels'} />
    </Dialog>
  )
}

/** Pack or tires of the next run: promised and in place, with the same face as a value. */
function PromiseRow({ run, what }: { run: RunInfo; what: 'pack' | 'tires' }) {
  const view = useBoard()
  const ctx = useEditContext()
  const nameOf = useNameOf()
  const [open, setOpen] = useState<'choose' | 'put' | null>(null)
  const pack = what === 'pack'
  const promised = pack ? run.run?.packId : run.run?.tireSetId
  const inPlace = pack ? run.run?.packIn : run.run?.tiresOn
  const labelOf = (id: string | null | undefined) =>
    (pack ? view.packs.get(id)?.label : view.tireSets.get(id)?.label) ?? (id ? '?' : null)
  const state = !promised?.v
    ? 'empty'
    : inPlace?.v === promised.v
      ? 'equal'
      : inPlace?.v
        ? 'differs'
        : 'not-fitted'
  const field = pack ? (['packId', 'packIn'] as const) : (['tireSetId', 'tiresOn'] as const)
  const mayChoose = canWrite(ctx, 'meeting', 'runs', run.runId, field[0])
  const mayPut = canWrite(ctx, 'meeting', 'runs', run.runId, field[1])
  const close = (o: boolean) => !o && setOpen(null)
  const label = pack ? 'Pack' : 'Tires'
  const volts = pack ? view.packs.get(inPlace?.v)?.restVoltageV?.v : null
  const put = pack ? `${labelOf(promised?.v) ?? ''} is in` : `${labelOf(promised?.v) ?? ''} are on`
  return (
    <div
      className="value-row card-row"
      data-state={state}
      role="group"
      aria-label={`${label} of the next run`}
    >
      <button
        type="button"
        className="row-face"
        data-row={what}
        tabIndex={-1}
        aria-haspopup="dialog"
        disabled={!mayChoose}
        onClick={() => setOpen('choose')}
      >
        <span className="row-label">{label}</span>
        <span className="small row-detail">
          for {heatOfRun(run)}
          {promised?.v ? `, ${nameOf(promised.by)}` : ', none chosen yet'}
          {volts ? `, ${volts.toFixed(2)} V` : ''}
        </span>
      </button>
      <div className="value-cell num">
        {labelOf(promised?.v) ?? '–'}
        {promised && (
          <small>{<SavedMark doc="meeting" collection="runs" recordId={run.runId} field={field[0]} />}</small>
        )}
      </div>
      <div className="value-cell value-fitted num">
        {state === 'equal' ? 'same' : (labelOf(inPlace?.v) ?? '–')}
        {inPlace && (
          <small>{<SavedMark doc="meeting" collection="runs" recordId={run.runId} field={field[1]} />}</small>
        )}
      </div>
      {promised?.v && state !== 'equal' && mayPut && (
        <div className="value-acts btn-row">
          <Button look="do" onPress={() => setOpen('put')}>
            {put}
          </Button>
          <Button isDisabled={!mayChoose} onPress={() => setOpen('choose')}>
            Choose another
          </Button>
        </div>
      )}
      {!promised?.v && mayChoose && (
        <div className="value-acts btn-row">
          <Button onPress={() => setOpen('choose')}>Choose {pack ? 'a pack' : 'tires'}</Button>
        </div>
      )}
      {open === 'choose' &&
        (pack ? (
          <ChoosePack runIds={[run.runId]} isOpen onOpenChange={close} />
        ) : (
          <ChooseTires runIds={[run.runId]} isOpen onOpenChange={close} />
        ))}
      {open === 'put' &&
        promised?.v &&
        (pack ? (
          <PackInDialog runId={run.runId} packId={promised.v} isOpen onOpenChange={close} />
        ) : (
          <TiresOnDialog runId={run.runId} tireSetId={promised.v} isOpen onOpenChange={close} />
        ))}
    </div>
  )
}
