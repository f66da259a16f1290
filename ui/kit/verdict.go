package kit

import (
	"evenrim/model"
	"evenrim/ui/look"
)

// VerdictLook is the sign and the colour of a verdict, the same on every page.
func VerdictLook(v model.Verdict) (look.Icon, Tint) {
	switch v {
	case model.Conforms:
		return look.IconConforms, Good
	case model.DoesNotConform:
		return look.IconNot, Bad
	}
	return look.IconUndecided, Doubt
}
