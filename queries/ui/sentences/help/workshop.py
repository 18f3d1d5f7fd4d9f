"""What the help says of the workshop's arithmetic."""

from typing import Final

FIT: Final = 'Clearance of a fit: `25 H7/g6`, `"1 in H7/g6"`. Or `- --hole "25.01 mm" --shaft "25.0 mm"` as measured.'
FIT_HOLE: Final = "Instead of classes: the hole as measured. Write - for FIT."
FIT_SHAFT: Final = "The shaft as measured."
LIMITS: Final = (
    'Limits of a tolerance class: `25 H7` (hole), `25 g6` (shaft), `"1 in H7"`. A bare number is millimetres.'
)
CLASSES: Final = 'Tolerance classes whose limits at SIZE lie within LIMITS: `"25 mm" "25.000..25.030 mm"`.'
CLASSES_SHAFT: Final = "Classes of shafts instead of holes."
PRESS_FIT: Final = "Pressure, hoop stress, force and heating of a press fit in steel (Lamé)."
PRESS_FIT_BORE: Final = "Diameter of the joint."
PRESS_FIT_INTERFERENCE: Final = "Interference on the diameter. Or give --fit."
PRESS_FIT_FIT: Final = "Classes such as H7/p6, instead of --interference."
PRESS_FIT_PRESSURE: Final = "Instead of those: shows the interference that makes this pressure."
PRESS_FIT_HUB: Final = "Outside diameter of the hub."
PRESS_FIT_LENGTH: Final = "Length of the joint."
PRESS_FIT_FRICTION: Final = "Friction of the joint: your assumption, such as 0.1..0.15."
PRESS_FIT_SHAFT_BORE: Final = "Bore of a hollow shaft."
SHRINK_RING: Final = "Stress and pressure of a thin steel ring shrunk on a rigid wheel."
SHRINK_RING_DIAMETER: Final = "Diameter of the wheel that it is shrunk on."
SHRINK_RING_THICKNESS: Final = "Thickness of the ring, thin against the diameter."
SHRINK_RING_COOLING: Final = 'Cooling from fitting to rest, in kelvin: "55".'
BEARING: Final = "Boundary dimensions by designation: `6205`, `32005X`."
BEARING_FLOAT: Final = "Float of two taper bearings set by a spacer, and the spacer for a wanted float."
BEARING_FLOAT_SPACER: Final = "Length of the spacer."
BEARING_FLOAT_WEB: Final = "Web of the housing between the cups' shoulders."
BEARING_FLOAT_INNER: Final = "Inner bearing: assembled width T, cone width B."
BEARING_FLOAT_OUTER: Final = "Outer bearing: T, B. Without it: as the inner one."
BEARING_FLOAT_WINDOW: Final = 'Wanted float, such as "0..0.1 mm".'
BEARING_FLOAT_FACTOR_E: Final = "Factor e of the bearing's table: shows the radial play too."
THREAD: Final = "Sizes of a thread: `3/8-24 UNF-2A`, `M10x1`."
THREAD_CLASS: Final = "Class such as 2A, 2B, 6g, 6H."
THREADS: Final = "What happens when MALE is screwed into FEMALE: `3/8-24 M10x1`."
THREADS_ENGAGED: Final = "Length of the female thread. Without it: one diameter."
SPLINE: Final = (
    'Diameters of a spline: `25T 24/48` (ANSI B92.1), `24T module 1.25` (ISO 4156), with --din "30 mm" by DIN 5480.'
)
SPLINE_DIN: Final = "Reference diameter: by DIN 5480 instead."
SPLINE_PRODUCTION: Final = "DIN 5480: broached, hobbed, shaped, cold rolled."
SPLINES: Final = 'What happens when MALE is pushed into FEMALE: `"25T module 1" "25T 24/48"`.'
SPLINES_MALE_MAJOR: Final = "Major diameter of the male, measured. Without it: by the standard."
SPLINES_FEMALE_MINOR: Final = "Minor diameter of the female, measured. Without it: by the standard."
SPLINES_FEMALE_MAJOR: Final = "Major diameter of the female, measured. Without it: by the standard."
SPLINE_SIZE: Final = (
    'A spline by caliper, over pins (male) or between pins (female): `25T 24/48 --jaws "27.40 ±0.05 mm"`.'
)
SPLINE_SIZE_JAWS: Final = "What flat caliper jaws show across it."
SPLINE_SIZE_OVER_PINS: Final = "Measurement over two pins."
SPLINE_SIZE_BETWEEN_PINS: Final = "Measurement between two pins of a female spline."
SPLINE_SIZE_PIN: Final = "Diameter of the pins."
SPLINE_SIZE_ANGLE: Final = "Pressure angle."
BOLT: Final = "Proof load of a bolt, or what a stated torque or preload does to it. Never proposes a torque."
BOLT_GRADE: Final = "Strength grade, such as 8.8 or SAE 5."
BOLT_TORQUE: Final = 'A stated torque, such as "50 N m". Needs --source.'
BOLT_PRELOAD: Final = "Instead of a torque: a stated preload. Needs --source."
BOLT_SOURCE: Final = "Where the torque or preload is printed."
BOLT_FACTOR: Final = "K of T = K d F. Without it: 0.15 to 0.25."
BOLT_THREAD_FRICTION: Final = "Friction of the thread, to find K. Give --head-friction too."
BOLT_HEAD_FRICTION: Final = "Friction under the head, to find K."
BOLT_LENGTH: Final = "Clamped length: shows stretch, and turn from snug."
BOLT_PULL: Final = "Pull from outside on the clamped joint."
BOLT_SHARE: Final = "Share of that pull that the bolt takes. Without it: all of it."
NEXT_SLOT: Final = "How far a castellated nut goes on to the next slot."
NEXT_SLOT_SLOTS: Final = "Slots of the castellated nut."
NEXT_SLOT_HOLES: Final = "Pin holes through the bolt, 1 or 2 across."
UNCERTAINTY: Final = "Combined uncertainty of independent parts (GUM), each known within plus or minus a length."
UNCERTAINTY_PART: Final = 'Name and "±0.02 mm" (rectangle).'
UNCERTAINTY_COVERAGE: Final = "Coverage factor k."
STACK: Final = "A stack of dimensions: worst case and root of the sum of squares."
STACK_PLUS: Final = 'Name and size, such as spacer "12.62 ±0.01 mm".'
STACK_MINUS: Final = "The same, subtracted."
DECIDE: Final = "How well must I measure to tell ONE from OTHER?"
DECIDE_INSTRUMENT: Final = "Your instrument is good to plus or minus this."
WITHIN: Final = 'How well must I measure to say that SIZE lies within WINDOW: `"26.05 mm" "26.0..26.2 mm"`?'
RIM: Final = 'Nominal and specified diameter of a rim by its inch CODE: `13`, `"13 in"`.'
BOLT_CIRCLE: Final = "Bolt circle from what a caliper reaches. Every option may be repeated."
BOLT_CIRCLE_HOLES: Final = "How many holes or studs."
BOLT_CIRCLE_CENTRES: Final = "Centre distance of neighbours."
BOLT_CIRCLE_SKIP_ONE: Final = "Centre distance of every other one."
BOLT_CIRCLE_OUTSIDE: Final = "Over the outer edges of neighbours. Needs --hole."
BOLT_CIRCLE_INSIDE: Final = "Between the inner edges of neighbours. Needs --hole."
BOLT_CIRCLE_HOLE: Final = "Diameter of the holes or studs."
BOLT_CIRCLE_HUB: Final = "Bolt circle of a hub that it is to go on: shows by how much each hole is off."
STUD: Final = "How much of a wheel stud is in the nut."
STUD_STAND_OUT: Final = "Stand-out of the stud from the hub face."
STUD_SEAT: Final = "Distance from the hub face to where the nut's thread starts."
STUD_NUT: Final = "Length of the thread in the nut."
WHEEL_ROOM: Final = "Room between wheel and caliper, at the barrel and at the face."
WHEEL_ROOM_BARREL: Final = "Inner radius of the barrel at the caliper."
WHEEL_ROOM_REACH: Final = "Radial reach of the caliper from the axle."
WHEEL_ROOM_DISH: Final = "Depth of the dish from the mounting face."
WHEEL_ROOM_FACE: Final = "Caliper face outboard of the mounting face."
WHEEL_ROOM_WEIGHTS: Final = "Thickness of stuck-on weights."
WHEEL_ROOM_SPACER: Final = "Thickness of a spacer."
TRACK: Final = "Change of the track over the axle."
TRACK_FACE: Final = "How much the mounting faces move outboard."
TRACK_OFFSET: Final = "How much the wheels' offset grows."
TRACK_SPACER: Final = "Thickness of a spacer."
TEMPLATE: Final = "Draw a bolt circle to print at 1:1 into FILE (.svg or .pdf)."
TEMPLATE_HOLES: Final = "How many holes."
TEMPLATE_CIRCLE: Final = "Bolt circle diameter."
TEMPLATE_HOLE: Final = "Diameter of the holes."
TEMPLATE_BORE: Final = "Diameter of the centre bore."
SHIMS: Final = "Shim stacks for a swivel's gap, by both rules in use."
SHIMS_GAP: Final = "Gap without shims and without the spring."
SHIMS_WASHER: Final = "Thickness of the tab washer."
SHIMS_NIP: Final = "Nip that the manual names."
SHIMS_SHIM: Final = "One thickness in the box."
SHIMS_ONE_EACH: Final = "You have one shim for each --shim, not as many as you want."
FLARE: Final = "Which 45 degree flare measures OUTSIDE."
HOSE: Final = "The size class of a brake hose by its nominal INSIDE diameter."
BALANCE: Final = (
    "Front share of the planned brakes against those of the vehicle as made. Leave out what the vehicle does not have."
)
PEDAL: Final = "Line pressure and piston forces from the force on the pedal, or the force from the pressure."
PEDAL_FORCE: Final = "Force at the pedal."
PEDAL_PRESSURE: Final = "Instead of --force: the line pressure that you want."
PEDAL_RATIO: Final = "Ratio of the pedal's lever."
PEDAL_MASTER: Final = "Bore of the master cylinder."
PEDAL_PISTON: Final = "Name and bore of a piston."
VOLUME: Final = "Fluid that the brakes need, against the stroke of the master."
VOLUME_MASTER: Final = "Bore of the master cylinder."
VOLUME_STROKE: Final = "Stroke of the master cylinder."
VOLUME_RATIO: Final = "Ratio of the pedal's lever."
VOLUME_PISTONS: Final = "Name, how many, bore, travel of each."
RESIDUAL: Final = "Whether a residual valve of this PRESSURE suits discs or drums."
RESIDUAL_DISCS: Final = "Whether the circuit works discs or drums."
PAD_RADIUS: Final = "Effective radius of a pad from its INNER and OUTER radius."
PAD: Final = "Force and pressure of a pad that makes a torque, or the angle of pad that a mean pressure needs."
PAD_TORQUE: Final = "Torque of the whole brake, both pads."
PAD_FRICTION: Final = "Friction of pad on rotor: your assumption."
PAD_INNER: Final = "Inner radius of the pad."
PAD_OUTER: Final = "Outer radius of the pad."
PAD_ANGLE: Final = "Angle that the pad covers. Or give --pressure."
PAD_PRESSURE: Final = "Mean pressure on the pad: shows the angle that it needs."
DISC: Final = "Clamp force and torque of a disc brake at a line pressure."
DISC_PRESSURE: Final = "Line pressure."
DISC_PISTON: Final = "Diameter of the piston on one side."
DISC_RADIUS: Final = "Effective radius."
DISC_FRICTION: Final = "Friction of pad on rotor: your assumption."
DRUM: Final = "Force on a shoe and torque of a drum brake at a line pressure."
DRUM_PRESSURE: Final = "Line pressure."
DRUM_CYLINDER: Final = "Bore of the wheel cylinder."
DRUM_DIAMETER: Final = "Diameter of the drum."
DRUM_FACTOR: Final = "C* of the shoes: your assumption, such as 2.1 or 3.0."
AXLE_LOADS: Final = "Front and rear axle load under braking, the share of braking that goes with it, and deceleration."
AXLE_LOADS_WHEELBASE: Final = "Wheelbase of the vehicle."
AXLE_LOADS_AHEAD: Final = "Centre of gravity ahead of the rear axle."
AXLE_LOADS_HEIGHT: Final = "Height of the centre of gravity."
AXLE_LOADS_GRIP: Final = "Grip of tyre on road: your assumption."
BALANCE_SIZES: Final = {
    "piston": "Diameter of the caliper piston on one side.",
    "radius": "Effective radius of the disc.",
    "front-cylinder": "Bore of the front wheel cylinder.",
    "front-drum": "Diameter of the front drum.",
    "rear-cylinder": "Bore of the rear wheel cylinder.",
    "rear-drum": "Diameter of the rear drum.",
    "master": "Bore of the master cylinder.",
}
FORM: Final = (
    "Form of the teeth. ANSI B92.1: 30 flat side, 30 flat major, 30 fillet side, 37.5 fillet side, 45 fillet side. "
    "ISO 4156: 30 flat ..."
)
JSON: Final = "Print one JSON document instead of text."
CALCULATE: Final = """The workshop's arithmetic, with its sources.

Write sizes with their unit, as in the records: "25.4 mm", "1 1/16 in", "0.068..0.070 in", "25.40 ±0.05 mm", "25 k6".
A range goes in as a range and comes out as one.

Exit status: 0 a good answer, 1 no or not decided, 2 the question is wrong."""
