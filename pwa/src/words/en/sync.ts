export default {
  title: 'Waiting to be sent',
  none: {
    title: 'Everything is sent',
    body: 'The server has confirmed every record made on this phone.',
    scan: 'Scan the next piece',
  },
  unsent: {
    one: '{count} record is kept safely on this phone until the server confirms it. Oldest: {age}.',
    other: '{count} records are kept safely on this phone until the server confirms them. Oldest: {age}.',
  },
  send: 'Send now',
  sending: 'Sending…',
  signIn: 'Sign in',
  paused: {
    offline: 'The server did not answer. It is tried again by itself; nothing is lost meanwhile.',
    'not-ours': 'Something answered that is not the Nubbin server, perhaps a network’s own sign-in page. Nothing was sent; everything is kept.',
    server: 'The server cannot take anything just now. Everything is kept and tried again by itself.',
    'signed-out': 'This phone is signed out. Its records are kept and go out once you sign in again.',
    'not-held': 'Nobody has said who holds this phone. What waits is kept and goes out once its author holds it again.',
    'not-allowed': 'The server does not allow this for whoever is at this phone. Everything is kept. Ask a lead.',
    'other-device': 'These records were made under another pairing of this phone, so the server will not take them from it now. They are kept: tell your lead before you clear anything.',
    'other-person': 'What waits was recorded by somebody who is not signed in now. It is kept and goes out when they sign in again.',
  },
  look: {
    title: 'Needs a look',
    refused: 'The server would not take these. They stay here, and nothing behind them is held up.',
    kept: 'Kept on this phone and in the server’s quarantine.',
    advice: 'Set right what the sentence names, or record it again on the piece.',
    again: 'Send it again',
  },
  flags: {
    title: 'Records that disagree',
    body: 'Two people, or two phones, recorded things that do not go together. Both are kept.',
  },
  codes: {
    title: 'Labels given to two pieces',
    body: 'Another piece had the label first. Put a new label on each of these, unless it carries one already.',
  },
  list: 'Waiting',
  made: 'made {age}',
  more: { one: 'and {count} more', other: 'and {count} more' },
} as const
