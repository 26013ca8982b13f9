import type { Metadata } from 'next'
import { headers } from 'next/headers'
import { notFound } from 'next/navigation'
import { HOSTING_HEADER } from '@/lib/core/hosting-header'
import { HostingScreen } from './hosting-screen'

export const metadata: Metadata = { title: 'New team' }

/** At the hosting address alone: a board has no such page. */
export default async function HostingPage() {
  const asked = await headers()
  if (asked.get(HOSTING_HEADER) !== '1') notFound()
  return <HostingScreen base={asked.get('host') ?? ''} />
}
