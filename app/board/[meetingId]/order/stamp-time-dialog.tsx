'use client'
import { useState } from 'react'
import { Button, Dialog, FormField, timeText } from '../../../ui'

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
      <FormField
        label={`${label}, hours and minutes`}
        type="time"
        value={text}
        onChange={setText}
        onEnter={save}
        refusal={
          time === null
            ? { field: label, value: text, reason: 'is not a time of day', remedy: 'Enter it as 14:20.' }
            : null
        }
      />
      <p className="small">{note}</p>
    </Dialog>
  )
}

/** The instant of a time of day on the day of `like`; null when it is not one. */
function timeOn(like: number, text: string): number | null {
  const m = /^(\d{1,2}):(\d{2})(?::(\d{2}))?$/.exec(text.trim())
  if (!m) return null
  const [h, min, s] = [Number(m[1]), Number(m[2]), Number(m[3] ?? 0)]
  if (h > 23 || min > 59 || s > 59) return null
  const at = new Date(like)
  at.setHours(h, min, s, 0)
  return at.getTime()
}
