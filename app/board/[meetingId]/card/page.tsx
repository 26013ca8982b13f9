import type { Metadata } from 'next'
import { CardListScreen } from './card-list-screen'

export const metadata: Metadata = { title: 'Cards' }

export default function CardsPage() {
  return <CardListScreen />
}
