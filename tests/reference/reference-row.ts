import type { ToleranceName } from './tolerances'

/** Where an outside value comes from. */
export interface Source {
  name: string
  /** Publication found and read; definition; computed by an outside program; recalled without the page at hand. */
  basis: 'published' | 'definition' | 'computed outside' | 'from memory'
}

export interface ReferenceRow {
  what: string
  unit: string
  outside: number
  source: Source
  tolerance: ToleranceName
  /** The library's own answer. */
  model: () => number
}

export const sources = {
  arithmetic: { name: 'arithmetic', basis: 'definition' },
  gearFormula: { name: 'gear formula m (z1 + z2)/2, module = 25.4/DP', basis: 'definition' },
  khk: { name: 'KHK, Gear Technical Reference, table 4.1 (standard spur gears)', basis: 'from memory' },
  maxonRe30: {
    name: 'maxon catalogue row, 48 V RE 30 (type from memory), as copied 2016',
    basis: 'published',
  },
  maxonRe40: { name: 'maxon catalogue, RE 40, 24 V and 48 V windings', basis: 'published' },
  maxonRe40Row: { name: 'maxon catalogue, RE 40 rows 148867 (24 V) and 148877 (48 V)', basis: 'from memory' },
  magmotor: { name: 'Magmotor C40-E-300FX data sheet', basis: 'published' },
  iec60034: { name: 'IEC 60034-1, copper’s 234.5 °C rule', basis: 'from memory' },
  johnson: { name: 'A. M. Johnson, Motor Thermal Calculator (CMU, CC BY 4.0)', basis: 'published' },
  cylinderExamples: {
    name: 'boardflare.com, NU_CYL_CB: cylinder in cross flow, worked examples',
    basis: 'published',
  },
  airTable: {
    name: 'nzifst.org.nz, Unit Operations, appendix 6, air (after Fishenden, Saunders)',
    basis: 'published',
  },
  scipy: { name: 'SciPy 1.17.1 DOP853 at rtol 1e-12 (scripts/launches.py)', basis: 'computed outside' },
  closedForm: {
    name: 'closed form beside SciPy DOP853 at rtol 1e-12 (scripts/closed_forms.py)',
    basis: 'computed outside',
  },
  heatScript: {
    name: 'SciPy 1.17.1 DOP853 at rtol 1e-12 (scripts/two_node_heat.py)',
    basis: 'computed outside',
  },
  loadTransfer: {
    name: 'statics of a rear-driven car with our own inputs (scripts/closed_forms.py)',
    basis: 'computed outside',
  },
  pybamm: {
    name: 'PyBaMM, parameter set Ai2020 (LCO pouch), lithium-balanced 3.0/4.2 V',
    basis: 'published',
  },
  computed: {
    name: 'NumPy and SciPy from that table: Ohm’s law, quadrature of the taper (scripts/pack_rows.py)',
    basis: 'computed outside',
  },
  wattHour: {
    name: 'watt = volt times ampere, SI Brochure, table 4; the product by hand',
    basis: 'definition',
  },
  airRules: { name: 'IATA DGR 2.3 / FAA PackSafe passenger rules', basis: 'published' },
  raisedAxle: {
    name: 'statics of a tilted rigid body (scripts/raised_axle.py)',
    basis: 'computed outside',
  },
  forum: { name: 'worked example, engineering forum 2013', basis: 'published' },
  machinecalcs: { name: 'machinecalcs.com, suspension wheel rate, worked example', basis: 'published' },
  halliday: {
    name: 'Halliday/Resnick/Walker, Fundamentals of Physics, ch. 15, 2000 kg car',
    basis: 'from memory',
  },
  nist811: { name: 'NIST SP 811 (2008), appendix B.8', basis: 'published' },
  nistStrd: { name: 'NIST StRD, univariate summary statistics, NumAcc1-4', basis: 'published' },
  norris: { name: 'NIST StRD, linear regression, Norris', basis: 'from memory' },
  madExample: { name: 'mathbz.com, median absolute deviation, worked examples', basis: 'published' },
  madWiki: { name: 'Wikipedia, Median absolute deviation, example', basis: 'from memory' },
  normalTable: { name: 'standard normal table, NIST e-Handbook 1.3.6.7.1', basis: 'from memory' },
  openstaxCurve: {
    name: 'OpenStax University Physics 1, example 6.15 (900 kg car, 500 m curve, 25 m/s)',
    basis: 'from memory',
  },
  openstaxBrakes: {
    name: 'OpenStax College Physics, example 2.14 (stopping from 30 m/s)',
    basis: 'from memory',
  },
} as const satisfies Record<string, Source>
