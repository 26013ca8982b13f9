'use client'
import { useState } from 'react'
import type { TrackSegment } from '@/lib/board'
import { walkedList } from '@/lib/card'
import { Button, ChoiceField, Dialog, FormField, NumberEntry, RefusalText } from '@/app/ui'

const EXAMPLE = '48 Long straight\n10 left 180 Hairpin\n21 grip 0.9 Triple\n7 right 90'

/** A track from a list that was written down while walking it. */
export function WalkedDialog({
  onTake,
  onClose,
}: {
  onTake: (s: TrackSegment[]) => void
  onClose: () => void
}) {
  const [text, setText] = useState('')
  const [unit, setUnit] = useState('paces')
  const [paceM, setPaceM] = useState<number | null>(0.8)
  const unitM = unit === 'paces' ? (paceM ?? 0.8) : 1
  const walked = walkedList(text, unitM)
  const isReady = walked.segments.length > 0 && (unit === 'meters' || paceM !== null)
  return (
    <Dialog
      title="From a walked lap"
      isOpen
      onOpenChange={(open) => !open && onClose()}
      acts={() => (
        <Button
          look="do"
          isDisabled={!isReady}
          onPress={() => {
            onTake(walked.segments)
            onClose()
          }}
        >
          Take {walked.segments.length || 'the'} pieces
        </Button>
      )}
    >
      <p>
        Walk the racing line and write one line per piece: how long it is, which way and how many degrees it
        turns, and what you call it. Where the surface has less grip, add <b>grip 0.9</b>.
      </p>
      <ChoiceField
        label="Lengths are in"
        options={[
          { id: 'paces', label: 'paces' },
          { id: 'meters', label: 'meters' },
        ]}
        value={unit}
        onChange={setUnit}
      />
      {unit === 'paces' && (
        <NumberEntry
          label="One pace"
          value={paceM}
          onChange={setPaceM}
          min={0.2}
          max={2}
          unit="m"
          hint="Pace off ten meters along a tape and divide."
        />
      )}
      <FormField
        label="The list"
        value={text}
        onChange={setText}
        multiline
        autoFocus
        placeholder={EXAMPLE}
        maxLength={6000}
      />
      {walked.problems.length > 0 && (
        <ul className="grid gap-1" aria-label="Lines that can’t be read">
          {walked.problems.map((p) => (
            <li key={p.field + p.reason} className="refusal">
              <RefusalText refusal={p} />
            </li>
          ))}
        </ul>
      )}
      {walked.segments.length > 0 && (
        <p role="status">
          {walked.segments.length} pieces, {walked.lengthM.toFixed(1)} m. All turns add up to{' '}
          {walked.turnSumDeg.toFixed(0)}°
          {Math.abs(Math.abs(walked.turnSumDeg) - 360) > 30 && ' (a lap that does not cross itself has 360°)'}
          , and the end is {walked.gapM.toFixed(1)} m from the start. That is the error of the walk.
        </p>
      )}
    </Dialog>
  )
}
