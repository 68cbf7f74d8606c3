/** What of a piece is shown: its glyph, its name, where it stands, its stage. Pure. */
import type { Shape, Sign } from '../kit/glyph.ts'
import { display, parse } from '../label/code.ts'
import type { Key } from '../records/fields.ts'
import type { PieceView } from '../sync/views.ts'
import { locale } from '../words/format.ts'
import { t } from '../words/index.ts'
import { daysBetween, isDate } from './days.ts'
import { numberText, type CutNumber } from './lineage.ts'
import { baseShape, nameOf, type Item } from './lists.ts'
import type { PieceState } from './state.ts'

export type Find = (id: Key) => Item | undefined
export type GrowthForm = 'single' | 'massive' | 'branching'

/** The name of a list entry; its key where the phone has not heard of it yet. */
export function itemName(id: Key, find: Find): string {
  const item = find(id)
  return item ? nameOf(item) : id
}

/** A local date such as '2026-03-01', written as the locale writes it. */
export function dayText(date: string): string {
  if (!isDate(date)) return date
  const options = { day: 'numeric', month: 'short', year: 'numeric', timeZone: 'UTC' } as const
  return new Intl.DateTimeFormat(locale(), options).format(Date.parse(`${date}T00:00:00Z`))
}

export function shapeOf(state: PieceState, find: Find): Shape {
  return state.base === null ? 'none' : baseShape(find(state.base))
}

/** What it is called on the screens: by its label, else by its line and cut number. */
export function calledName(piece: PieceView): string {
  return piece.code === null ? pieceName(piece) : display(piece.code)
}

/** How mouths and the cut face are worded; a species not known yet is asked about plainly. */
export function growthForm(species: Key | null, find: Find): GrowthForm {
  const form = species === null ? null : find(species)?.fields['form']
  return form === 'massive' || form === 'branching' ? form : 'single'
}

/** Whether a healing piece was last seen longer ago than its species' days between checks. */
export function isOverdue(view: PieceView, find: Find, today: string): boolean {
  const { state, species } = view
  const every = species === null ? null : find(species)?.fields['check_days']
  const since = state.alive ?? state.begun?.day
  if (state.stage !== 'healing' || typeof every !== 'number' || !since) return false
  return daysBetween(since, today) > every
}

export function signOf(view: PieceView, find: Find, today: string): Sign {
  const { state } = view
  return {
    shape: shapeOf(state, find),
    encrustation: state.encrustation,
    mouth: state.mouth,
    recession: state.recession,
    stage: state.exit?.how === 'cut-up' ? 'used' : state.stage,
    overdue: isOverdue(view, find, today),
  }
}

/** 'cut number 2', 'cut number ?+1', or that a colony's own is not known. */
export function numberWords(number: CutNumber): string {
  if (number.base === null && number.plus === 0) return t('piece.noNumber')
  return t('piece.cutNumber', { number: numberText(number) })
}

/** 'Amber 3, cut number 2'. */
export function pieceName(view: PieceView): string {
  return `${view.line ?? t('piece.noLine')}, ${numberWords(view.number)}`
}

/** 'Tray 3, B4'; null where it stands nowhere that is known. */
export function whereText(view: PieceView, find: Find): string | null {
  const { tray, place } = view.state
  if (tray !== null) {
    const name = itemName(tray, find)
    return place === null ? t('piece.where.tray', { tray: name }) : t('piece.where.both', { tray: name, place })
  }
  return view.tank === null ? null : t('piece.where.tank', { tank: itemName(view.tank, find) })
}

export function stageText(state: PieceState): string {
  if (state.exit) {
    const how = state.exit.how === 'cut-up' ? 'cutUp' : state.exit.how
    return t(`piece.stage.${how}`, { day: dayText(state.exit.day) })
  }
  if (state.loss) return t(`piece.stage.${state.loss.how}`, { day: dayText(state.loss.by) })
  if (state.ready_sale) return t('piece.stage.readySale', { day: dayText(state.ready_sale.by) })
  if (state.ready_cut) return t('piece.stage.readyCut', { day: dayText(state.ready_cut.by) })
  if (state.stage === 'colony') return t('piece.stage.colony')
  return state.stage === 'healing' ? t('piece.stage.healing') : t('piece.stage.unknown')
}

/** Whole days since it was glued or arrived, by the facility's calendar; null without a beginning. */
export function ageInDays(state: PieceState, today: string): number | null {
  return state.begun ? daysBetween(state.begun.day, today) : null
}

export function ageText(state: PieceState, today: string): string {
  const count = ageInDays(state, today)
  if (count === null || !state.begun) return t('piece.stage.unknown')
  const day = dayText(state.begun.day)
  return t(state.begun.kind === 'glue' ? 'piece.days.glued' : 'piece.days.here', { count, day })
}

/** Every word must be somewhere in the code, line, species or tray; codes may carry their hyphen. */
export function fits(view: PieceView, text: string, find: Find): boolean {
  const code = parse(text)
  if (code.ok) return view.state.codes.some((claim) => claim.code === code.code)
  const species = view.species === null ? [] : [itemName(view.species, find), find(view.species)?.fields['common']]
  const where = view.state.tray === null ? '' : itemName(view.state.tray, find)
  const all = [view.code, view.line, where, ...species].join(' ').toLowerCase()
  const words = text.toLowerCase().replace(/(\w{4})-(?=\w)/g, '$1').split(/\s+/)
  return words.every((word) => all.includes(word))
}
