'use client'
import NextLink from 'next/link'
import type { ComponentProps, ReactNode } from 'react'
import { Button as AriaButton, type ButtonProps as AriaButtonProps } from 'react-aria-components'

type Look = 'plain' | 'do' | 'hot' | 'quiet'

export interface ButtonProps extends Omit<AriaButtonProps, 'className' | 'style'> {
  /** `do` is the one act a place is for; `hot` destroys or revokes; `quiet` stands inside text. */
  look?: Look
  wide?: boolean
  /** Takes no press for a moment, and keeps the focus meanwhile: what it stands for has just changed. */
  isLocked?: boolean
}

const classes = (look: Look, wide: boolean) =>
  ['btn', look !== 'plain' && `btn-${look}`, wide && 'btn-wide'].filter(Boolean).join(' ')

/** A button of at least 48 px on a phone. `onPress` fires for touch, mouse, Enter and Space alike. */
export function Button({ look = 'plain', wide = false, isLocked = false, ...props }: ButtonProps) {
  return <AriaButton {...props} isPending={isLocked} className={classes(look, wide)} />
}

export interface LinkProps extends Omit<ComponentProps<typeof NextLink>, 'prefetch'> {
  children: ReactNode
}

/**
 * A link inside the app. It loads its page in full beforehand: a page that is only half loaded can't be opened any more
 * once the network is gone, and on plain HTTP no service worker would help.
 */
export function Link(props: LinkProps) {
  return <NextLink {...props} prefetch />
}

export interface LinkButtonProps extends LinkProps {
  look?: Look
  wide?: boolean
}

export function LinkButton({ look = 'plain', wide = false, ...props }: LinkButtonProps) {
  return <Link {...props} className={classes(look, wide)} />
}
