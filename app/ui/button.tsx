'use client'
import type { AriaAttributes, ReactNode } from 'react'

export type Look = 'plain' | 'do' | 'hot' | 'quiet'

export interface ButtonProps extends AriaAttributes {
  children?: ReactNode
  id?: string
  type?: 'button' | 'submit'
  /** Touch, mouse, Enter and Space alike. */
  onPress?: () => void
  isDisabled?: boolean
  /** `do` is the one act a place is for; `hot` destroys or revokes; `quiet` stands inside text. */
  look?: Look
  wide?: boolean
  /** Takes no press for a moment, and keeps the focus meanwhile: what it stands for has just changed. */
  isLocked?: boolean
}

export const buttonClass = (look: Look, wide: boolean) =>
  ['btn', look !== 'plain' && `btn-${look}`, wide && 'btn-wide'].filter(Boolean).join(' ')

/** A button of at least 48 px on a phone. The browser's own: every page has one, and most need no more of a component library than this. */
export function Button({
  look = 'plain',
  wide = false,
  isLocked = false,
  isDisabled = false,
  type = 'button',
  onPress,
  ...props
}: ButtonProps) {
  return (
    <button
      {...props}
      type={type}
      disabled={isDisabled}
      aria-disabled={isLocked || undefined}
      data-rests={isLocked || undefined}
      className={buttonClass(look, wide)}
      onClick={isLocked ? (e) => e.preventDefault() : () => onPress?.()}
    />
  )
}
