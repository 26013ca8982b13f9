'use client'
import { useState } from 'react'
import { readClock } from '@/lib/core/read-clock'
import { Button, Dialog, TimeField, timeText } from '@/app/ui'

export interface StampTimeProps {
  title: string
  /** Field and act, as in `Start` and `Correct the start`. */
  label: string
  act: string
  /** The time shown first, and the day on which it lies. */
  at: number
  note: string
  onClose: () => void
  onSave: (at: number) => void
}

/** A stamp by the clock instead of by the moment: to correct one, or to give one that was missed. */
export function StampTimeDialog({ title, label, act, at, note, onClose, onSave }: StampTimeProps) {
  const [text, setText] = useState(timeText(at))
  const time = timeOn(at, text)
  const save = () => {
    if (time === null) return
    onSave(time)
    onClose()
  }
  return (
    <Dialog
      title={title}
      isOpen
      onOpenChange={(open) => !open && onClose()}
      acts={() => (
        <Button look="do" isDisabled={time === null} onPress={save}>
          {act}
        </Button>
      )}
    >
      <TimeField label={`${label}, hours and minutes`} value={text} onChange={setText} onEnter={save} />
      <p className="small">{note}</p>
    </Dialog>
  )
}

/** The instant of a time of day on the day of `like`; null when it is not one. */
function timeOn(like: number, text: string): number | null {
  const clock = readClock(text)
  return clock === null
    ? null
    : new Date(like).setHours(Number(clock.slice(0, 2)), Number(clock.slice(3)), 0, 0)
}
