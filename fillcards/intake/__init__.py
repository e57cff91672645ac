"""What other systems wrote, turned into what a regimen file says: prescriptions in HL7 FHIR R4 into draft regimens."""
