import type { Metadata } from 'next'
import { CardScreen } from './card-screen'

export const metadata: Metadata = { title: 'Setup card' }

export default function CardPage() {
  return <CardScreen />
}
