'use client'
import NextLink from 'next/link'
import type { ComponentProps, ReactNode } from 'react'
import { buttonClass, type Look } from './button'

export interface LinkProps extends Omit<ComponentProps<typeof NextLink>, 'prefetch' | 'href'> {
  href: string
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
  return <Link {...props} className={buttonClass(look, wide)} />
}
