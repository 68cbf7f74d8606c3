import { beforeAll, describe, expect, it } from 'vitest'
import { day, moreWords } from '../words/index.ts'
import { namesOf, sentence } from './changes.ts'
import type { Change, Device, Member, What } from './people.ts'

beforeAll(moreWords)

const member = (id: string, name: string): Member => ({ id, name, role: 'keeper', has_pin: true, made_at: 0, left_at: null })
const device: Device = {
  id: 'd1', name: 'Phone 3', shared: true, holder: null, made_at: 0, seen_at: null, removed_at: null, quarantined: 0,
}
const names = namesOf([member('ines', 'Inês'), member('tomas', 'Tomás')], [device])

function said(what: string, about: string | null, detail: Change['detail'] = {}, who: string | null = 'ines'): string {
  return sentence({ id: 1, at: 0, device: 'd1', who, what, about, detail }, names)
}

describe('what was changed', () => {
  it('is a sentence for every kind of entry the server writes', () => {
    const found = [
      said('person-added', 'tomas', { name: 'Tomás', role: 'lead' }),
      said('person-changed', 'tomas', { name: 'Tomás', role: null }),
      said('person-changed', 'tomas', { name: 'Tomás', role: 'owner' }),
      said('person-revoked', 'tomas'),
      said('person-restored', 'tomas'),
      said('pin-set', 'tomas'),
      said('pin-set', 'ines'),
      said('password-set', 'ines'),
      said('pin-locked', 'tomas', { wait_ms: 60000 }, null),
      said('pairing-made', 'tomas', { shared: false }),
      said('pairing-made', null, { shared: true }),
      said('link-made', 'tomas', {}, null),
      said('device-paired', 'd1', { shared: false, name: 'Phone 3' }),
      said('device-paired', 'd1', { shared: true, name: 'Phone 3' }),
      said('device-named', 'd1', { name: 'Phone 3' }),
      said('device-revoked', 'd1'),
      said('held', 'd1'),
      said('released', 'd1'),
      said('signed-out', 'd1'),
      said('admitted', 'd1', { count: 1 }),
      said('set-aside', 'd1', { count: 12 }),
      said('taken-in', 'd1', {}),
      said('certificate-renewed', null, {}, null),
      said('put-back', null, { made_at: 1772359200000, still_out: null }, null),
      said('put-back', null, { made_at: 1772359200000, still_out: 2 }, null),
    ]
    expect(found).toEqual([
      'Inês added Tomás: propagation lead.',
      'Inês changed Tomás: the name is now “Tomás”.',
      'Inês changed Tomás: the name is now “Tomás”, rights are now owner.',
      'Inês signed Tomás out for good.',
      'Inês let Tomás in again.',
      'Inês set a PIN for Tomás.',
      'Inês set their own PIN.',
      'Inês set their own password.',
      'Too many wrong tries were made as Tomás.',
      'Inês made a pairing code for Tomás’s own phone.',
      'Inês made a pairing code for a shared phone.',
      'A sign-in link was made for Tomás.',
      'The phone “Phone 3” was paired as Inês’s own.',
      'The phone “Phone 3” was paired as a shared one.',
      'Inês gave a phone the name “Phone 3”.',
      'Inês signed the phone “Phone 3” out for good.',
      'Inês took the phone “Phone 3” in hand.',
      'Inês laid the phone “Phone 3” down.',
      'Inês signed the phone “Phone 3” out.',
      'Inês admitted 1 record of the phone “Phone 3”.',
      'Inês set aside 12 records of the phone “Phone 3”.',
      'Inês took in a file with records of the phone “Phone 3”.',
      'The farm’s certificate was renewed.',
      `A backup of ${day(1772359200000)} was put back. People and phones are as they were then.`,
      `A backup of ${day(1772359200000)} was put back. Who was signed out for good since stayed signed out.`,
    ])
  })

  it('leaves out no kind that the server may write', () => {
    const all: Record<What, true> = {
      'put-back': true, 'person-added': true, 'person-changed': true, 'person-revoked': true, 'person-restored': true, 'pin-set': true,
      'password-set': true, 'pin-locked': true, 'pairing-made': true, 'link-made': true, 'device-paired': true,
      'device-named': true, 'device-revoked': true, held: true, released: true, 'signed-out': true, admitted: true,
      'set-aside': true, 'taken-in': true, 'certificate-renewed': true,
    }
    for (const what of Object.keys(all)) expect(said(what, 'd1', { role: 'lead' })).not.toMatch(/has no words|\{/)
  })

  it('still reads where a name or the kind is not known here', () => {
    expect(said('held', 'd9', {}, 'gone')).toBe('Somebody not listed here took the phone “a phone not listed here” in hand.')
    expect(said('device-paired', 'd9', { shared: true, name: 'Old phone' })).toBe('The phone “Old phone” was paired as a shared one.')
    expect(said('person-added', null, { role: 'guest' }, null)).toBe('The server added somebody not listed here: guest.')
    expect(said('shelf-moved', 'x')).toBe('Something was changed that this version has no words for: shelf-moved.')
  })
})
