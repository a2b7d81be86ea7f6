package figure

import "scantling/engine/geom"

// The curves of the drawn body, in statures. Points on them that carry a landmark: chin 0.870,
// shoulder 0.818, elbow 0.630, hip 0.530, wrist 0.485, fingertip 0.377, knee 0.285, ankle
// 0.039, foot length 0.152 (segments); crotch 0.482, head breadth 0.088, head length 0.114,
// breadth over the deltoids 0.291, hips 0.197, seat 0.245, sitting height 0.523 (ANSUR II, men).

func standing(from View) []piece {
	switch from {
	case FromSide:
		arm := sideArm()
		return []piece{under(sideBody()), hanging(arm, 1, len(arm)-1)}
	case FromAbove:
		foot := under(footAbove(-0.098))
		return []piece{foot, foot.other(), over(shouldersAbove()), over(headAbove())}
	}
	arm := hanging(frontArm(), 0, 0)
	return []piece{under(mirrored(frontBody())), arm, arm.other()}
}

func seated(from View) []piece {
	switch from {
	case FromSide:
		arm := sideSeatedArm()
		return []piece{under(sideSeated()), hanging(arm, 1, len(arm)-1)}
	case FromAbove:
		foot := under(footAbove(-0.330))
		thigh := over(limb(station{0.068, -0.02, 0.050}, station{0.072, -0.10, 0.048}, station{0.076, -0.18, 0.042}, station{0.078, -0.245, 0.036}, station{0.079, -0.275, 0.022}))
		arm := over(limb(station{0.122, 0.012, 0.022}, station{0.138, -0.04, 0.026}, station{0.130, -0.09, 0.023}, station{0.106, -0.17, 0.018}, station{0.096, -0.205, 0.013},
			station{0.088, -0.25, 0.019}, station{0.083, -0.29, 0.009}))
		return []piece{foot, foot.other(), thigh, thigh.other(), arm, arm.other(), over(shouldersAbove()), over(headAbove())}
	}
	knee := over([]geom.Vec2{{0.040, 0.262}, {0.045, 0.236}, {0.075, 0.228}, {0.106, 0.238}, {0.114, 0.268}, {0.110, 0.302}, {0.094, 0.327}, {0.070, 0.330}, {0.048, 0.315}, {0.039, 0.290}})
	arm := hanging(frontSeatedArm(), 6, len(frontSeatedArm())-1)
	return []piece{under(mirrored(frontSeated())), knee, knee.other(), arm, arm.other()}
}

func reaching(from View) []piece {
	switch from {
	case FromSide:
		forward := limb(station{-0.012, 0.800, 0.024}, station{0.050, 0.812, 0.029}, station{0.110, 0.816, 0.026}, station{0.186, 0.818, 0.023}, station{0.250, 0.818, 0.021},
			station{0.332, 0.818, 0.014}, station{0.372, 0.818, 0.019}, station{0.412, 0.816, 0.015}, station{0.4365, 0.814, 0.003})
		up := limb(station{-0.006, 0.764, 0.020}, station{-0.001, 0.820, 0.031}, station{0.003, 0.900, 0.028}, station{0.004, 1.004, 0.023}, station{0.006, 1.060, 0.023},
			station{0.008, 1.150, 0.015}, station{0.010, 1.190, 0.016}, station{0.012, 1.230, 0.012}, station{0.013, 1.2545, 0.003})
		return []piece{under(forward), under(sideBody()), hanging(up, 1, len(up)-2)}
	case FromAbove:
		foot := under(footAbove(-0.098))
		forward := limb(station{-0.116, 0.010, 0.022}, station{-0.117, -0.06, 0.029}, station{-0.117, -0.186, 0.024}, station{-0.117, -0.250, 0.021}, station{-0.116, -0.332, 0.015},
			station{-0.115, -0.372, 0.021}, station{-0.114, -0.412, 0.016}, station{-0.114, -0.4365, 0.004})
		return []piece{foot, foot.other(), under(forward), over(shouldersAbove()), over(headAbove()), over(oval(0.119, -0.004, 0.022, 0.028))}
	}
	up := limb(station{0.086, 0.764, 0.016}, station{0.110, 0.812, 0.030}, station{0.122, 0.870, 0.029}, station{0.127, 1.004, 0.024}, station{0.129, 1.060, 0.023},
		station{0.131, 1.150, 0.016}, station{0.131, 1.190, 0.021}, station{0.130, 1.230, 0.015}, station{0.129, 1.2545, 0.004})
	shoulder := []geom.Vec2{{-0.090, 0.800}, {-0.100, 0.817}, {-0.120, 0.8175}, {-0.137, 0.806}, {-0.1450, 0.782}, {-0.140, 0.757}, {-0.126, 0.746}, {-0.108, 0.756}}
	return []piece{under(mirrored(frontBody())), hanging(up, 0, 0), hanging(shoulder, 0, 0), over(oval(-0.120, 0.786, 0.020, 0.026))}
}

// frontBody is the right half of head, trunk and leg from the front, crown to crotch.
func frontBody() []geom.Vec2 {
	return append(frontTrunk(), []geom.Vec2{
		{0.0945, 0.555}, {0.0985, 0.520}, {0.098, 0.480}, {0.093, 0.420}, {0.082, 0.345}, {0.071, 0.300},
		{0.069, 0.280}, {0.071, 0.250}, {0.073, 0.215}, {0.067, 0.160}, {0.055, 0.095}, {0.048, 0.055},
		{0.050, 0.036}, {0.062, 0.014}, {0.063, 0.001}, {0.044, 0}, {0.026, 0.001}, {0.022, 0.016},
		{0.028, 0.042}, {0.026, 0.090}, {0.021, 0.150}, {0.016, 0.205}, {0.020, 0.255}, {0.024, 0.285},
		{0.019, 0.330}, {0.012, 0.400}, {0.005, 0.465}, {0, 0.482},
	}...)
}

// frontTrunk is the right half of head and trunk from the front, down to the waist.
func frontTrunk() []geom.Vec2 {
	return []geom.Vec2{
		{0, 1}, {0.024, 0.994}, {0.040, 0.974}, {0.0445, 0.948}, {0.0465, 0.938}, {0.0475, 0.922}, {0.0435, 0.906}, {0.038, 0.889}, {0.029, 0.876},
		{0.032, 0.866}, {0.0335, 0.850}, {0.044, 0.838}, {0.080, 0.828}, {0.112, 0.819}, {0.122, 0.805},
		{0.118, 0.780}, {0.106, 0.752}, {0.100, 0.720}, {0.092, 0.670}, {0.086, 0.625}, {0.088, 0.590},
	}
}

// frontSeated is the right half of a sitting body from the front, without thighs and arms.
func frontSeated() []geom.Vec2 {
	return append(lowered(frontTrunk(), sunk), []geom.Vec2{
		{0.094, 0.330}, {0.0985, 0.305}, {0.104, 0.280}, {0.108, 0.250},
		{0.108, 0.225}, {0.106, 0.200}, {0.100, 0.150}, {0.088, 0.090}, {0.082, 0.052},
		{0.086, 0.034}, {0.098, 0.014}, {0.099, 0.001}, {0.080, 0}, {0.062, 0.001}, {0.058, 0.016},
		{0.062, 0.042}, {0.060, 0.090}, {0.053, 0.150}, {0.049, 0.200}, {0.048, 0.236}, {0.040, 0.256}, {0.020, 0.268}, {0, 0.270},
	}...)
}

// frontArm is the right arm from the front, hanging a little away from the trunk.
func frontArm() []geom.Vec2 {
	return []geom.Vec2{
		{0.098, 0.814}, {0.118, 0.8175}, {0.134, 0.804}, {0.1430, 0.782}, {0.1455, 0.750}, {0.144, 0.710}, {0.147, 0.660},
		{0.154, 0.628}, {0.160, 0.580}, {0.161, 0.530}, {0.158, 0.488}, {0.166, 0.460}, {0.168, 0.425},
		{0.163, 0.390}, {0.156, 0.377}, {0.149, 0.386}, {0.147, 0.420}, {0.140, 0.416}, {0.138, 0.440}, {0.142, 0.468},
		{0.141, 0.488}, {0.135, 0.535}, {0.126, 0.590}, {0.121, 0.630}, {0.114, 0.680}, {0.108, 0.730},
		{0.100, 0.770},
	}
}

// frontSeatedArm is the right arm of a sitting body, its hand on the thigh.
func frontSeatedArm() []geom.Vec2 {
	return []geom.Vec2{
		{0.098, 0.582}, {0.118, 0.5855}, {0.134, 0.572}, {0.1430, 0.550}, {0.1455, 0.518}, {0.145, 0.478}, {0.150, 0.435},
		{0.152, 0.405}, {0.143, 0.378}, {0.124, 0.358}, {0.110, 0.340}, {0.106, 0.318}, {0.096, 0.296}, {0.082, 0.294},
		{0.076, 0.315}, {0.080, 0.340}, {0.090, 0.358}, {0.108, 0.376}, {0.118, 0.400}, {0.118, 0.432}, {0.112, 0.460}, {0.108, 0.498}, {0.101, 0.540},
	}
}

// sideFront is the front of head and trunk from the right, facing right, crown to waist.
func sideFront() []geom.Vec2 {
	return []geom.Vec2{
		{0.004, 1}, {0.032, 0.990}, {0.050, 0.966}, {0.054, 0.944}, {0.052, 0.934}, {0.057, 0.920}, {0.064, 0.909},
		{0.055, 0.903}, {0.056, 0.894}, {0.053, 0.887}, {0.052, 0.876}, {0.042, 0.869}, {0.022, 0.871},
		{0.017, 0.852}, {0.022, 0.834}, {0.044, 0.806}, {0.064, 0.760}, {0.070, 0.720}, {0.064, 0.670},
		{0.060, 0.620},
	}
}

// sideBack is the back of head and trunk, from the small of the back up.
func sideBack() []geom.Vec2 {
	return []geom.Vec2{
		{-0.046, 0.610}, {-0.048, 0.660}, {-0.060, 0.720}, {-0.066, 0.770}, {-0.058, 0.812}, {-0.038, 0.840},
		{-0.034, 0.862}, {-0.046, 0.886}, {-0.055, 0.915}, {-0.056, 0.948}, {-0.044, 0.980}, {-0.022, 0.996},
	}
}

// sideBody is the outline from the right, without the arm.
func sideBody() []geom.Vec2 {
	out := append(sideFront(), []geom.Vec2{
		{0.060, 0.575}, {0.056, 0.530}, {0.056, 0.480}, {0.055, 0.420}, {0.049, 0.350},
		{0.043, 0.305}, {0.044, 0.282}, {0.038, 0.250}, {0.030, 0.190}, {0.022, 0.110}, {0.024, 0.060},
		{0.050, 0.038}, {0.084, 0.022}, {0.100, 0.010}, {0.098, 0.001}, {0.030, 0}, {-0.040, 0.001},
		{-0.048, 0.014}, {-0.042, 0.044}, {-0.030, 0.080}, {-0.035, 0.140}, {-0.048, 0.205}, {-0.042, 0.250},
		{-0.032, 0.288}, {-0.036, 0.340}, {-0.047, 0.410}, {-0.060, 0.470}, {-0.071, 0.515}, {-0.064, 0.560},
	}...)
	return append(out, sideBack()...)
}

// sideSeated is the outline of a sitting body from the right, without the arm.
func sideSeated() []geom.Vec2 {
	out := append(lowered(sideFront(), sunk), []geom.Vec2{
		{0.070, 0.360}, {0.100, 0.350}, {0.150, 0.346}, {0.210, 0.338}, {0.250, 0.328}, {0.273, 0.310}, {0.279, 0.286},
		{0.274, 0.250}, {0.266, 0.195}, {0.256, 0.120}, {0.256, 0.064}, {0.284, 0.038}, {0.318, 0.022}, {0.334, 0.010}, {0.332, 0.001},
		{0.264, 0}, {0.194, 0.001}, {0.186, 0.014}, {0.192, 0.044}, {0.203, 0.085}, {0.196, 0.140}, {0.186, 0.190}, {0.188, 0.222},
		{0.180, 0.241}, {0.150, 0.2455}, {0.080, 0.245}, {0.000, 0.2447}, {-0.044, 0.248}, {-0.068, 0.268}, {-0.074, 0.300}, {-0.064, 0.338},
	}...)
	return append(out, lowered(sideBack(), sunk)...)
}

// sideArm is the arm as it hangs before the trunk, from the right.
func sideArm() []geom.Vec2 {
	return []geom.Vec2{
		{-0.006, 0.812}, {0.020, 0.798}, {0.026, 0.765}, {0.018, 0.700}, {0.012, 0.635}, {0.022, 0.570},
		{0.030, 0.490}, {0.038, 0.450}, {0.040, 0.410}, {0.034, 0.378}, {0.024, 0.384}, {0.022, 0.410},
		{0.012, 0.440}, {0.008, 0.488}, {-0.010, 0.560}, {-0.026, 0.632}, {-0.034, 0.700}, {-0.038, 0.760},
		{-0.028, 0.800},
	}
}

// sideSeatedArm is the arm of a sitting body, its hand on the thigh.
func sideSeatedArm() []geom.Vec2 {
	return limb(station{-0.010, 0.574, 0.016}, station{-0.004, 0.552, 0.029}, station{0.010, 0.500, 0.029}, station{0.036, 0.428, 0.024}, station{0.056, 0.404, 0.023},
		station{0.090, 0.389, 0.022}, station{0.140, 0.371, 0.018}, station{0.196, 0.351, 0.014}, station{0.232, 0.342, 0.016}, station{0.266, 0.329, 0.012}, station{0.290, 0.316, 0.003})
}

// footAbove is the right foot from above, its toes that far in front of the body's axis.
func footAbove(toes float64) []geom.Vec2 {
	f := []geom.Vec2{{0.058, 0.030}, {0.046, 0}, {0.026, 0.004}, {0.020, 0.033}, {0.028, 0.110}, {0.036, 0.150}, {0.046, 0.148}, {0.053, 0.110}}
	for i := range f {
		f[i][1] += toes
	}
	return f
}

// shouldersAbove are the shoulders and the trunk under them from above.
func shouldersAbove() []geom.Vec2 {
	return mirrored([]geom.Vec2{{0, 0.068}, {0.060, 0.064}, {0.112, 0.048}, {0.142, 0.016}, {0.1455, -0.012}, {0.130, -0.040}, {0.090, -0.058}, {0.045, -0.070}, {0, -0.072}})
}

// headAbove is the head from above.
func headAbove() []geom.Vec2 {
	return mirrored([]geom.Vec2{{0, 0.057}, {0.026, 0.050}, {0.041, 0.025}, {0.044, -0.005}, {0.034, -0.040}, {0.014, -0.057}, {0, -0.062}})
}
