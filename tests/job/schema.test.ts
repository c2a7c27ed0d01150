import { expect, it } from 'vitest';
import { fieldAt } from '../../src/job/schema.js';
import { TOOTH_FORMS } from '../../src/model/job.js';

it('finds the range, unit and words of a key, and nothing for a group or a stray key', () => {
  expect(fieldAt('sprocket.teeth')).toMatchObject({ kind: 'number', whole: true, min: 6 });
  expect(fieldAt('limits.max-stepdown')).toMatchObject({ dimension: 'length', max: '20 mm' });
  expect(fieldAt('chain.measured.span')).toMatchObject({ kind: 'quantity', required: true });
  expect(fieldAt('sprocket.tooth-form')).toMatchObject({ words: TOOTH_FORMS });
  expect(fieldAt('material')).toMatchObject({ kind: 'name' });
  for (const key of ['', 'limits', 'teeth', 'machine.teeth', 'sprocket.teeth.x', '__proto__']) {
    expect(fieldAt(key), key).toBeNull();
  }
});
