'use client'
import { useEffect, useState } from 'react'
import { useBoard } from '@/app/sync'
import {
  Button,
  ChoiceField,
  Empty,
  FormField,
  LinkButton,
  Note,
  Qr,
  Tick,
  Ticket,
  TicketHead,
} from '@/app/ui'
import { labelItems, labelUrl, type LabelItem } from './label-items'
import './labels.css'

const SIZES = [
  { id: 'small', label: 'Small', detail: '48 × 25 mm, 4 across' },
  { id: 'large', label: 'Large', detail: '63 × 38 mm, 3 across' },
]
/** The address of the board, and the one thing that the page was opened for. */
const readAddress = () => ({
  origin: location.origin,
  only: new URLSearchParams(location.search).get('only'),
})

/** Labels for packs and tire sets, to be printed on A4 and stuck on. A phone's own camera opens the thing's page by its code. */
export function LabelsScreen() {
  const view = useBoard()
  const items = labelItems(view)
  const [only, setOnly] = useState<string | null>(null)
  const [touched, setLeft] = useState<ReadonlySet<string> | null>(null)
  const [size, setSize] = useState('large')
  const [origin, setOrigin] = useState('')
  useEffect(() => {
    void Promise.resolve().then(() => {
      const { origin: here, only } = readAddress()
      setOrigin(here)
      if (only !== null) setOnly(only)
    })
  }, [])
  // What nobody ticked yet is all, or the one thing that the page was opened for.
  const isOne = items.some((i) => i.id === only)
  const left = touched ?? new Set(isOne ? items.flatMap((i) => (i.id === only ? [] : [i.id])) : [])
  const chosen = items.filter((i) => !left.has(i.id))
  const put = (ids: readonly string[], take: boolean) => {
    const next = new Set(left)
    for (const id of ids)
      if (take) next.delete(id)
      else next.add(id)
    setLeft(next)
  }
  if (items.length === 0)
    return (
      <Empty
        title="Nothing to label yet"
        level={1}
        acts={
          <LinkButton look="do" href="/kit/packs">
            Enter packs
          </LinkButton>
        }
      >
        <p>Each pack and tire set in the kit gets a label with its name and a code that opens its page.</p>
      </Empty>
    )
  const isLoopback = /^https?:\/\/(localhost|127\.|\[::1\])/.test(origin)
  return (
    <>
      <div className="no-print grid gap-4">
        <Ticket label="Labels">
          <TicketHead
            level={1}
            title="Labels"
            sub="scan a label with any phone’s camera to open the pack or tire set"
            stub={
              <>
                <span className="num">{chosen.length}</span>
                <small>to print</small>
              </>
            }
          />
          {isLoopback && (
            <Note tone="hot">
              This address only works on this machine. Enter the address that phones use below, or the labels
              will not work.
            </Note>
          )}
          <div className="form-grid">
            <FormField
              label="Address in the codes"
              value={origin}
              onChange={(v) => setOrigin(v.trim().replace(/\/+$/, ''))}
              hint="Labels work as long as the board has this address. A fixed address or name is best."
            />
            <ChoiceField label="Size" options={SIZES} value={size} onChange={setSize} />
          </div>
          {(['pack', 'tires'] as const).map((kind) => (
            <Choice
              key={kind}
              kind={kind}
              items={items.filter((i) => i.kind === kind)}
              left={left}
              onPut={put}
            />
          ))}
          <div className="ticket-body">
            <Button
              look="do"
              wide
              isDisabled={chosen.length === 0 || !isOrigin(origin)}
              onPress={() => print()}
            >
              Print {chosen.length} {chosen.length === 1 ? 'label' : 'labels'} on A4
            </Button>
            {origin !== '' && !isOrigin(origin) && (
              <p className="refusal" role="alert">
                The address must start with http:// or https:// and end after the machine’s name and port.
              </p>
            )}
          </div>
        </Ticket>
        <h2>Preview</h2>
      </div>
      {isOrigin(origin) && (
        <ul className="label-sheet" data-size={size} aria-label="Label preview">
          {chosen.map((i) => (
            <li key={i.id} className="label" data-label={i.id}>
              <Qr text={labelUrl(origin, i)} label={`Code of ${i.name}`} size={120} />
              <span className="label-text">
                <b className="num">{i.name}</b>
                {i.lines.map((l) => (
                  <span key={l}>{l}</span>
                ))}
              </span>
            </li>
          ))}
        </ul>
      )}
    </>
  )
}

const isOrigin = (text: string): boolean => {
  try {
    return /^https?:$/.test(new URL(text).protocol) && new URL(text).origin === text
  } catch {
    return false
  }
}

function Choice({
  kind,
  items,
  left,
  onPut,
}: {
  kind: 'pack' | 'tires'
  items: readonly LabelItem[]
  left: ReadonlySet<string>
  onPut: (ids: readonly string[], take: boolean) => void
}) {
  if (items.length === 0) return null
  const ids = items.map((i) => i.id)
  const taken = ids.filter((id) => !left.has(id)).length
  return (
    <fieldset className="label-choice">
      <legend>{kind === 'pack' ? 'Packs' : 'Tire sets'}</legend>
      <Tick isSelected={taken === ids.length} onChange={(take) => onPut(ids, take)}>
        All {ids.length}
      </Tick>
      {items.map((i) => (
        <Tick key={i.id} isSelected={!left.has(i.id)} onChange={(take) => onPut([i.id], take)}>
          <span className="num">{i.name}</span>
        </Tick>
      ))}
    </fieldset>
  )
}
