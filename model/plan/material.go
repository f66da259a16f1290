package plan

// Material is what the part is made of.
type Material struct {
	Name   string
	PerK   float64 // linear expansion at room temperature, 1/K
	Source string
}

const tableB6 = "Callister, Fundamentals of Materials Science and Engineering, table B.6 (from ASM handbooks)"

// Materials lists what the planner knows, the usual first. All values are mean
// coefficients near room temperature; a data sheet of the bar at hand is better.
var Materials = []Material{
	{"Aluminium 6061", 23.6e-6, tableB6},
	{"Aluminium 7075", 23.4e-6, tableB6},
	{"Aluminium 2024", 22.9e-6, tableB6},
	{"Brass C36000", 20.5e-6, tableB6},
	{"Bearing bronze C93200", 18.0e-6, tableB6},
	{"Mild steel 1020", 11.7e-6, tableB6},
	{"Steel 4140", 12.3e-6, tableB6},
	{"Stainless 304", 17.2e-6, tableB6},
	{"Stainless 316", 15.9e-6, tableB6},
	{"Grey cast iron G3000", 11.4e-6, tableB6},
	{"Titanium Ti-6Al-4V", 8.6e-6, tableB6},
}

// MaterialNamed returns a material of the list; ok is false for another name.
func MaterialNamed(name string) (m Material, ok bool) {
	for _, m := range Materials {
		if m.Name == name {
			return m, true
		}
	}
	return Material{}, false
}
