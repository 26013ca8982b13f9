'use client'
import { useId, useRef, useState } from 'react'
import { Button } from './button'

/**
 * Text to take along. The clipboard API is missing on plain HTTP, so the text stands in a field, gets selected, and is copied the old way; where
 * even that fails, it is selected and the phone's own menu copies it.
 */
export function CopyText({ label, text, rows }: { label: string; text: string; rows?: number }) {
  const id = useId()
  const area = useRef<HTMLTextAreaElement>(null)
  const [said, setSaid] = useState('')
  const copy = async () => {
    area.current?.focus()
    area.current?.select()
    const done = await copyText(text)
    setSaid(done ? 'Copied' : 'Selected: copy it with this phone’s own menu')
  }
  return (
    <div className="field">
      <label htmlFor={id} className="visually-hidden">
        {label}
      </label>
      <textarea
        id={id}
        ref={area}
        readOnly
        className="input num text-sm"
        rows={rows ?? Math.min(8, Math.max(2, text.split('\n').length))}
        value={text}
      />
      <div className="btn-row items-center">
        <Button onPress={() => void copy()}>Copy</Button>
        <span role="status" className="small">
          {said}
        </span>
      </div>
    </div>
  )
}

async function copyText(text: string): Promise<boolean> {
  try {
    if (window.isSecureContext) {
      await navigator.clipboard.writeText(text)
      return true
    }
  } catch {
    // Permission refused: the old way may still work.
  }
  try {
    return document.execCommand('copy')
  } catch {
    return false
  }
}
