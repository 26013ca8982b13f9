'use client'
import { useRef } from 'react'
import { Button, type ButtonProps } from './button'

/** A button that opens the device's own choice of files. The same file can be picked twice in a row. */
export function PickFile({
  types,
  onPick,
  ...props
}: Omit<ButtonProps, 'onPress' | 'type'> & {
  /** Endings and media types. */
  types: readonly string[]
  onPick: (file: File) => void
}) {
  const input = useRef<HTMLInputElement>(null)
  return (
    <>
      <input
        ref={input}
        type="file"
        hidden
        accept={types.join(',')}
        onChange={(e) => {
          const file = e.target.files?.[0]
          e.target.value = ''
          if (file) onPick(file)
        }}
      />
      <Button {...props} onPress={() => input.current?.click()} />
    </>
  )
}
