import type { Metadata } from 'next'
import { CarService } from '../car-service'
import { RecordScreen } from '../../record-screen'

export const metadata: Metadata = { title: 'Car' }

export default async function CarPage({ params }: { params: Promise<{ carId: string }> }) {
  const { carId } = await params
  return <RecordScreen slug="cars" recordId={carId} after={<CarService carId={carId} />} />
}
