package model

import "testing"

// Every line's variance stays with something, once.
func TestSharesOfALineMakeItWhole(t *testing.T) {
	for _, l := range []BudgetLine{
		{Source: SourcePoints, Follows: FollowsPhoto}, {Source: "of somebody's own"}, {Source: SourceLight, Follows: FollowsCamera},
		{Source: SourceView, Follows: FollowsCamera}, {Source: SourceBore, Follows: FollowsPart},
	} {
		photo, camera, part := l.Share(FollowsPhoto), l.Share(FollowsCamera), l.Share(FollowsPart)
		near(t, l.Source+": all shares", photo+camera+part, 1, 1e-15)
		if min(photo, camera, part) < 0 {
			t.Errorf("%s: shares %g, %g, %g", l.Source, photo, camera, part)
		}
	}
}

// What light does to the edges is not wholly taken out by turning the part: a set of four
// states a half of a single photo's uncertainty for what is new in each, and what turns along.
func TestTurningLeavesTheLightOnThePart(t *testing.T) {
	light := Sym2{4e-6, 1e-6, 4e-6}
	set, err := JoinTurns(turned(Vec{0.02, 0}, Vec{}, []BudgetLine{{Source: SourceLight, Cov: light, Follows: FollowsCamera}}, 0, 90, 180, 270), nil)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "variance", set.Cov.XX, light.XX*(lightOnThePart+newInEachPhoto/4), 1e-12)
	near(t, "of it, what turns with the part", set.PartCov.XY, light.XY*lightOnThePart, 1e-12)
}
