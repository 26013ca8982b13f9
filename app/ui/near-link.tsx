'use client'
import NextLink from 'next/link'
import { useRouter } from 'next/navigation'
import type { LinkProps } from './link'

/** A link of which a screen may list hundreds, and hardly one is opened: it loads its page once a finger, a pointer or the keyboard comes near. */
export function NearLink(props: LinkProps) {
  const router = useRouter()
  const load = () => router.prefetch(props.href)
  return <NextLink {...props} prefetch={false} onPointerEnter={load} onFocus={load} />
}
