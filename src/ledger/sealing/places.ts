// How the places are named that a value is sealed for: none opens in another.

export function keyPlace(contact: number): string {
  return `contact_keys ${contact}`;
}

export function caseKeyPlace(code: string): string {
  return `case_keys ${code}`;
}

export function numberPlace(clinician: string): string {
  return `clinicians ${clinician}`;
}

export function factorPlace(clinician: string): string {
  return `clinicians.totp_secret ${clinician}`;
}

export function factPlace(name: string): string {
  return `facts ${name}`;
}
