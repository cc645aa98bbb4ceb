"""Mechanics of one joint: pure, vectorised functions with units and sources.

torque_tension  torque and clamp load by the long form and the nut factor; loosening
power_screw     the same without the small-angle step, and as printed with rounded figures
bearing         effective diameter of the face under the head
evaluation      friction and nut factor from measured torque and clamp load
stress          stress in tightening, onset of yield, after release
assembly        preload and torque at a share of the yield stress (the assembly tables)
stiffness       resilience of the bolt, clamp rate, torque rate, shank twist
cone            resilience of the clamped parts
model           a fastener in its joint, as other rooms hand it around
curve           the clamp-angle line: bilinear, elastic then yielded
torque_angle    clamp load along steps of torque, angle and loosening, past yield too
friction_range  a range of friction coefficients as a distribution
band            clamp load after each step as a distribution
uncertainty     linear propagation, where one number is enough
order           the order in which fasteners are taken
"""
