import js from '@eslint/js';
import tseslint from 'typescript-eslint';

export default tseslint.config(
  {
    ignores: [
      'dist/',
      'dist-docs/',
      'dist.tmp-*/',
      'out/',
      'coverage/',
      'reports/',
      'tests/output/',
      '.stryker-tmp/',
    ],
  },
  js.configs.recommended,
  ...tseslint.configs.recommended,
  {
    rules: {
      eqeqeq: 'error',
      'no-console': 'error',
      '@typescript-eslint/consistent-type-imports': 'error',
      '@typescript-eslint/no-unused-vars': ['error', { argsIgnorePattern: '^_' }],
    },
  },
  {
    // The kernel runs unchanged in Node and in a browser worker: no files, process or clock.
    files: ['maths', 'model', 'text', 'profile', 'machines', 'cam', 'post', 'job', 'plan'].map(
      (room) => `src/${room}/**`,
    ),
    rules: {
      'no-restricted-imports': [
        'error',
        { patterns: ['node:*', 'fs', 'path', 'three', '*/cli/*'] },
      ],
      'no-restricted-globals': ['error', 'process', 'Date', 'performance', 'window', 'document'],
      'no-restricted-properties': ['error', { object: 'Math', property: 'random' }],
    },
  },
  {
    files: ['scripts/**', 'bin/**'],
    languageOptions: { globals: { process: 'readonly', console: 'readonly', URL: 'readonly' } },
    rules: { 'no-console': 'off' },
  },
);
