import Type, { type Static } from 'typebox';
import { type AccountRow, passwordLengthMost, roles } from '../../core/accounts.ts';
import type { Form, FormState } from './form.ts';

const closed = { additionalProperties: false } as const;
/** Longer than a password may be, so that the rule of passwords says so. */
const password = Type.String({ minLength: 1, maxLength: passwordLengthMost * 4 });
const name = Type.String({ minLength: 1, maxLength: 200 });

const signInSchema = Type.Object(
  { name, password, next: Type.Optional(Type.String({ maxLength: 2000 })) },
  closed,
);

export const signInForm: Form<typeof signInSchema> = {
  schema: signInSchema,
  labels: { name: 'Name', password: 'Password', next: 'Next page' },
};

const firstSchema = Type.Object({ name, password, again: password }, closed);

/** The first account: an administrator of everything. */
export const firstForm: Form<typeof firstSchema> = {
  schema: firstSchema,
  labels: { name: 'Name', password: 'Password', again: 'Password again' },
};

const newPasswordSchema = Type.Object({ password, again: password }, closed);

/** A new password by a link. */
export const newPasswordForm: Form<typeof newPasswordSchema> = {
  schema: newPasswordSchema,
  labels: { password: 'New password', again: 'New password again' },
};

const changePasswordSchema = Type.Object({ present: password, password, again: password }, closed);

export const changePasswordForm: Form<typeof changePasswordSchema> = {
  schema: changePasswordSchema,
  labels: { ...newPasswordForm.labels, present: 'Present password' },
};

const accountSchema = Type.Object(
  {
    name,
    role: Type.Union(roles.map((role) => Type.Literal(role))),
    extent: Type.Union([Type.Literal('all'), Type.Literal('some')]),
    landownerId: Type.Union([Type.Integer({ minimum: 1 }), Type.Null()]),
    properties: Type.Optional(Type.Array(Type.Integer({ minimum: 1 }), { maxItems: 1000 })),
  },
  closed,
);

/** A person who may sign in: role, and which land. */
export const accountForm: Form<typeof accountSchema> = {
  schema: accountSchema,
  labels: {
    name: 'Name',
    role: 'Role',
    extent: 'Properties',
    landownerId: 'Land of',
    properties: 'Properties',
  },
};

export function accountRowOf(values: Static<typeof accountSchema>): AccountRow {
  const isAll = values.extent === 'all';
  return {
    name: values.name.trim(),
    role: values.role,
    hasAllProperties: isAll,
    landownerId: isAll ? null : values.landownerId,
    propertyIds: isAll ? [] : (values.properties ?? []),
  };
}

const secrets = new Set(['password', 'again', 'present']);

/** A form to show again: what was typed, without passwords. */
export function withoutPasswords(form: FormState): FormState {
  const values = Object.entries(form.values).filter(([field]) => !secrets.has(field));
  return { ...form, values: Object.fromEntries(values) };
}

export const notTheSame = {
  code: 'again',
  field: 'again',
  message: 'Password again: the two are not the same.',
};
